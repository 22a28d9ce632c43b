"""Fit a dance to a song: walls, restarts, tags and finish; rank songs for a dance and dances for a song."""

from noonwall.fit.costs import COST_CODES, CostItem, Costs
from noonwall.fit.counts import CountGrid, Music, Song, count_grid
from noonwall.fit.danced import as_danced
from noonwall.fit.finish import Finish, FinishChange, TaughtEnding, check_ending
from noonwall.fit.folder import FolderMatch, match_folder
from noonwall.fit.match import Match, Reason, rank_dances, rank_songs
from noonwall.fit.outline import Outline, outline_of
from noonwall.fit.run import Alternative, Run, fit, run_json
from noonwall.fit.stated import StatedChange, check_stated
from noonwall.fit.tempo import classify, tempo_wanted
from noonwall.fit.wall import RunWall

__all__ = [
    "COST_CODES",
    "Alternative",
    "CostItem",
    "Costs",
    "CountGrid",
    "Finish",
    "FinishChange",
    "FolderMatch",
    "Match",
    "Music",
    "Outline",
    "Reason",
    "Run",
    "RunWall",
    "Song",
    "StatedChange",
    "TaughtEnding",
    "as_danced",
    "check_ending",
    "check_stated",
    "classify",
    "count_grid",
    "fit",
    "match_folder",
    "outline_of",
    "rank_dances",
    "rank_songs",
    "run_json",
    "tempo_wanted",
]
