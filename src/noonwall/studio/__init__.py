"""The local web app: the shelf, the dance, the music, the lesson and the floor mode on pages."""
