"""The languages: how sheets write, and what noonwall says."""
