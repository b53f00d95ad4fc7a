package match

import "github.com/rigslate/rigslate/plan/glossary"

// What became of a pass. Any but OK is a result too: a game that does not run is no hole in the matrix.
const (
	OK          = "ok"
	Crash       = "crash"
	Hang        = "hang"
	Artefacts   = "artefacts"
	Unsupported = "unsupported"
)

var outcomes = []string{OK, Crash, Hang, Artefacts, Unsupported}

// Entries is what `explain` says of every outcome but OK.
func Entries() []glossary.Entry {
	const note = ` The note in the bench log says more.`
	return []glossary.Entry{
		outcome(Crash, "The game closed by itself. It is on record as a result of the card in that cell.",
			`"it crashes here", with the driver and the build, and only if it did so again.`+note),
		outcome(Hang, "The game stood still and did not come back. It is on record as a result of the card in that cell.",
			`"it hangs here", with the driver and the build, and only if it did so again.`+note),
		outcome(Artefacts, "The picture was wrong, whatever the frame rate. The pass does not count, since it is not the same work.",
			`"the picture flickers here", with the driver and the build.`+note),
		outcome(Unsupported, "The card or its driver does not offer what the variant needs. Nothing is wrong; the cell cannot be had.",
			`"it does not offer this".`),
	}
}

func outcome(name, means, say string) glossary.Entry {
	return glossary.Entry{Name: name, Group: glossary.Against, Unit: "a pass or a cell", Means: means, Say: say,
		Formula: "outcome is " + name + " in the bench log; a cell without another usable pass is then one that does not run",
		Source:  "the plan's form", Parameters: []string{"log"}}
}
