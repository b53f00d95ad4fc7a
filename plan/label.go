package plan

import (
	"regexp"
	"strings"

	"github.com/hashicorp/hcl/v2"
)

const maxLabel = 40

var (
	labelForm = regexp.MustCompile(`^[a-z][a-z0-9_-]*$`)
	keyForm   = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
)

// deviceNames cannot be file or folder names on Windows. Labels become path parts of the archive, which is opened everywhere.
var deviceNames = map[string]bool{
	"con": true, "prn": true, "aux": true, "nul": true,
	"com0": true, "com1": true, "com2": true, "com3": true, "com4": true, "com5": true, "com6": true, "com7": true, "com8": true, "com9": true,
	"lpt0": true, "lpt1": true, "lpt2": true, "lpt3": true, "lpt4": true, "lpt5": true, "lpt6": true, "lpt7": true, "lpt8": true, "lpt9": true,
}

// label checks a name that becomes a path part.
func (l *loader) label(name string, at hcl.Range) bool {
	const mend = "Labels are lower-case a-z, 0-9, _ and -, begin with a letter and have at most 40 characters."
	switch {
	case len(name) > maxLabel:
		l.error(at, "Label is too long", quote(name)+" does not fit.", mend)
	case !labelForm.MatchString(name):
		hint := mend
		if low := strings.ToLower(strings.ReplaceAll(strings.TrimSpace(name), " ", "_")); labelForm.MatchString(low) {
			hint = "Write " + quote(low) + ". " + mend
		}
		l.error(at, "Label has a wrong form", quote(name)+" cannot be a label.", hint)
	case name == "null" || deviceNames[name]:
		l.error(at, "Label is reserved", quote(name)+" cannot be a path part everywhere.", "Choose another label.")
	default:
		return true
	}
	return false
}
