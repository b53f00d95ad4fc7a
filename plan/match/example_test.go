package match

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// example is a review with everything that makes names hard: labels that hold separators and begin alike, a card with modes and
// two without, a game with variants and two without.
func example(files ...plan.Files) *plan.Plan {
	implied := []plan.CardMode{{Name: "stock", Implied: true}}
	plain := []plan.Variant{{Name: "plain", Implied: true}}
	p := &plan.Plan{
		Review: plan.Review{Name: "spring-roundup"},
		Cards: []plan.Card{
			{Name: "tern_ref", Modes: implied},
			{Name: "heron", Modes: implied},
			{Name: "heron_x", Modes: []plan.CardMode{{Name: "stock"}, {Name: "tuned"}}},
		},
		Games: []plan.Game{
			{Name: "fjord", Variants: []plan.Variant{{Name: "plain"}, {Name: "rays_up"}}},
			{Name: "kelp", Variants: plain},
			{Name: "kelp_2", Variants: plain},
		},
		Resolutions: []plan.Resolution{{Name: "qhd", Width: 2560, Height: 1440}, {Name: "uhd", Width: 3840, Height: 2160}},
		Files:       files,
	}
	for i := range p.Files {
		f := &p.Files[i]
		f.Place = finding.Place{File: "plan.hcl", Line: 10 * (i + 1)}
		f.PathPlace = finding.Place{File: "plan.hcl", Line: 10*(i+1) + 1}
	}
	for _, c := range p.Cards {
		for _, m := range c.Modes {
			for _, g := range p.Games {
				for _, v := range g.Variants {
					for _, r := range p.Resolutions {
						if c.Name == "heron_x" && m.Name == "tuned" && g.Name == "kelp" {
							continue // declared, but not in the matrix
						}
						k := plan.Key{Card: c.Name, Mode: m.Name, Game: g.Name, Variant: v.Name, Resolution: r.Name}
						p.Cells = append(p.Cells, plan.Cell{Key: k, Repeats: 3, Launches: 3})
					}
				}
			}
		}
	}
	return p
}

func byPath(path string) plan.Files { return plan.Files{Name: "captures", Path: path} }

// folder makes a captures' folder; a path with a blank is a link "name target".
func folder(t testing.TB, files map[string]string) *os.Root {
	t.Helper()
	dir := t.TempDir()
	for name, content := range files {
		full := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(full), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(full, []byte(content), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	return root
}

func find(t testing.TB, p *plan.Plan, files map[string]string) (*Found, []string) {
	t.Helper()
	return findIn(t, p, folder(t, files))
}

func findIn(t testing.TB, p *plan.Plan, root *os.Root) (*Found, []string) {
	t.Helper()
	found, list, err := Find(t.Context(), p, root)
	if err != nil {
		t.Fatal(err)
	}
	return found, lines(list)
}

// lines writes findings in one line each: place, severity, summary, detail, mend.
func lines(l finding.List) (out []string) {
	for _, f := range l {
		line := fmt.Sprintf("%s: %s: %s: %s %s", f.Place, f.Severity, f.Summary, f.Detail, f.Mend)
		out = append(out, strings.TrimSpace(line))
	}
	return out
}

// files writes the files found in one line each.
func (f *Found) lines() (out []string) {
	for _, file := range f.Files {
		line := file.Path + " → " + file.Key.String()
		if file.Repeat > 0 {
			line += fmt.Sprintf(" pass %d", file.Repeat)
		}
		if !file.Time.IsZero() {
			line += file.Time.Format(" 2006-01-02 15:04:05")
		}
		if file.Void != "" {
			line += ", void: " + file.Void
		}
		out = append(out, line)
	}
	for _, s := range f.Strays {
		out = append(out, "stray "+s.String())
	}
	if f.Other.Count > 0 {
		out = append(out, fmt.Sprintf("other %d %v", f.Other.Count, f.Other.Names))
	}
	return out
}
