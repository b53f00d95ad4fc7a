// Package explain joins what every package says of its figures and words into one list, with a worked example of each and the
// parameters in force. Examples are worked out by the program itself from the demo review (go generate) and embedded, since the
// demo is not at hand where the program is installed; a test works them out again. Examples from the reader's own captures were
// rejected: a page of definitions should read the same for everybody, and `why` shows a cell's own figures.
package explain

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan/glossary"
)

//go:generate go test . -run ^TestExamples$ -update

//go:embed examples.json
var written []byte

// examples are the worked examples by name.
var examples = sync.OnceValue(func() map[string]string {
	var m map[string]string
	if err := json.Unmarshal(written, &m); err != nil {
		panic(fmt.Sprintf("examples.json is not what was generated: %v", err)) // a broken build, which no input brings about
	}
	return m
})

// Example is a worked example of the entry of that name.
func Example(name string) string { return examples()[name] }

// Entries lists every figure and word, group by group.
func Entries() []glossary.Entry {
	var all []glossary.Entry
	for _, m := range compute.Metrics() {
		all = append(all, m.Entry())
	}
	for _, f := range figures() {
		all = append(all, f.Entry)
	}
	for _, e := range review.Entries() {
		if _, ofPasses := compute.MetricByName(e.Name); !ofPasses { // of a soak it is the same figure, and the entry says so
			all = append(all, e)
		}
	}
	own := fmt.Sprintf("this program's definitions, version %d, section", compute.DefinitionsVersion)
	for i := range all {
		all[i].Source = strings.ReplaceAll(all[i].Source, "definitions, section", own)
	}
	slices.SortStableFunc(all, func(a, b glossary.Entry) int {
		return slices.Index(glossary.Groups, a.Group) - slices.Index(glossary.Groups, b.Group)
	})
	return all
}
