package ledger

import "github.com/rigslate/rigslate/plan/glossary"

// Entries is what `explain` says of every fact that is recorded at first sight: each is also the reason against a pass for which it
// is stated otherwise now.
func Entries() []glossary.Entry {
	return []glossary.Entry{
		fact("driver", nil, "The graphics driver a pass was made with", "driver of the card", "the driver"),
		fact("build", nil, "The build of the game a pass was made with", "build of the game", "the build"),
		fact("settings", nil, "The settings of the game and of the card's mode", "settings of the variant, raises and settings of the mode", "the settings"),
		fact("firmware", nil, "The firmware a card's mode runs", "firmware of the mode", "the firmware"),
		fact("launch", []string{"launches", "launch of the game"}, "One start of the game, in which one or more passes are made", "launch in the bench log", "how often the game was started anew"),
		fact("session", []string{"sessions", "mounting"}, "One mounting of the card, with all passes made before it comes out", "session in the bench log", "how often the card was mounted"),
	}
}

func fact(name string, also []string, is, stated, say string) glossary.Entry {
	e := glossary.Entry{Name: name, Also: also, Group: glossary.Against, Unit: "a pass",
		Means: is + ". What is stated when a capture is first seen is recorded, and no later edit changes that; where it is stated " +
			"otherwise now, the pass is stale.",
		Say:     "With a figure, " + say + " it is from.",
		Formula: "as a reason: recorded at first sight, and not what " + stated + " says now", Source: "the ledger", Parameters: []string{"log"}}
	switch name {
	case "launch":
		e.Means += " Passes of one launch share what that launch happened to do, so intervals count launches and not passes."
		e.Say = "With a figure, on how many launches it rests."
	case "session":
		e.Means += " Taking a card out and in moves results by the session spread."
		e.Say = "Nothing by itself; a difference between cards already allows for it."
	}
	return e
}
