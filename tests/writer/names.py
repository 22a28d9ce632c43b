"""Invented titles, people, places and music; none is real."""

FIRST_EN = "Lantern Copper Harbour Tin Saddle Willow Gravel Marmalade Pocket Rusty Velvet Barley Midnight Paper Thunder Button Cedar Lighthouse Kitchen Pickle Ferry Orchard Window Candle Peppermint Wagon Cobbler Ribbon Puddle Teapot".split()
SECOND_EN = "Parade Stroll Shuffle Corner Promise Rhythm Rain Road Moon Jig Hustle Ramble Swing Station Letters Fever Dream Bridge Whistle Summer Line Stomp Row Tide Feathers".split()
TITLES_FR = (
    "Le Moulin Bleu",
    "La Gare Endormie",
    "Un Air de Septembre",
    "Poussière de Sucre",
    "Le Phare du Nord",
    "La Petite Cuisine",
    "Chemin de Craie",
    "Les Volets Verts",
    "Pluie sur le Quai",
    "Le Bal des Lanternes",
    "La Route du Sel",
    "Trois Boutons",
    "La Cabane au Fond",
    "Le Vieux Sifflet",
    "Rivière à Loutres",
    "Les Bottes Rouges",
    "Matin d'Érable",
    "La Corde à Linge",
    "Nuit de Juillet",
    "Le Tambour de Bois",
)
PEOPLE = (
    "Odile Brankowitz",
    "Perrin Maddox-Hale",
    "Junia Forthwell",
    "Tobias Quillfeather",
    "Selma Rudgate",
    "Hollis Penneck",
    "Marguerite Ostling",
    "Bram Tolliver-Ash",
    "Wilma Strake",
    "Corentin Valbray",
    "Noémie Jarsac",
    "Ludovic Ferrandel",
    "Aline Courtebotte",
    "Gaétan Lamirande-Roy",
    "Solange Petitclerc-Aubé",
    "Rosalie Thivergeau",
    "Eustace Brindlow",
    "Delphine Morvandieu",
    "Ivo Castlemarsh",
    "Kettie Halloran-Reeve",
)
COUNTRIES = "UK USA Canada Ireland Australia Sweden Denmark Germany".split()
COUNTRIES_FR = "France Québec Belgique Suisse".split()
ARTISTS = (
    "The Salt Meadows",
    "Ginny Larkspur",
    "Delaney & the Draught",
    "The Harbour Hall Band",
    "Wes Applegarth",
    "The Loose Shutters",
    "Maribel Stone-Quay",
    "Old Tin Chorus",
    "Les Sabots Perdus",
    "Ophélie Granvent",
)
SONG_FIRST = (
    "Long Way Past",
    "Talking To",
    "Under",
    "Dancing With",
    "One More",
    "Never Mind",
    "Home By",
    "Sugar For",
)
SONG_SECOND = (
    "the Water Tower",
    "My Neighbour's Dog",
    "a Paper Sky",
    "Friday's Coat",
    "the Ferry Bell",
    "Broken Clocks",
)
MONTHS = "January February March April May June July August September October November December".split()
MONTHS_FR = "janvier février mars avril mai juin juillet août septembre octobre novembre décembre".split()
