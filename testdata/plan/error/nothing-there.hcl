# ALONE
# FILE ERROR Plan has no review
# FILE ERROR Plan has no card
# FILE ERROR Plan has no game
# FILE ERROR Plan has no resolution
# FILE ERROR Plan has no matrix
# FILE ERROR Plan has no files
