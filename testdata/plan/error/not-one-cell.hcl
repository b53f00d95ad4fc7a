control { cell = [card.heron_x.stock, game.fjord] } # ERROR Not one cell
