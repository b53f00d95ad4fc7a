package archive

import (
	"strings"
	"testing"
)

func TestPaths(t *testing.T) {
	a := opened(t, t.TempDir())
	s := begin(t, a)
	for _, path := range []string{"plan/plan.json", "plan/Frühling 2.hcl", "plan/ledger/" + strings.Repeat("0", 64) + ".2.json", "a", strings.Repeat("µ", 99)} {
		if err := s.File(path, nil); err != nil {
			t.Errorf("%q: %v", path, err)
		}
	}
	for _, path := range []string{
		"", ".", "..", "../x", "a/../b", "a/./b", "/etc/x", "a//b", "a/", `a\b`, `..\x`, "C:x", "a:b", "nul", "a/CON", "com1.txt", "a/lpt¹.x", "x.", "x ", " x", "a\x00b", "a\nb", "a?b", "a*b", "\xff",
		strings.Repeat("x", 100), manifestName, manifestSumName,
		"plan/PLAN.JSON", "plan/plan.json", // there is a file of that name, or will be on another system
	} {
		if err := s.File(path, nil); err == nil {
			t.Errorf("%q is taken", path)
		}
	}
}

func TestReviewNames(t *testing.T) {
	a := opened(t, t.TempDir())
	for _, name := range []string{"", "..", "a/b", "Spring", "aux", "a b", "null", "com1", "-a", "1a"} {
		if s, err := a.Begin(name); err == nil {
			t.Errorf("review %q is taken", name)
			_ = s.Abandon()
		}
	}
}

func TestEditionID(t *testing.T) {
	base := func() Identity {
		return Identity{DefinitionsVersion: 1, Plan: []byte("{}"), Raw: []RawFacts{{SHA256: [32]byte{1}, Facts: []byte("a")}, {SHA256: [32]byte{2}, Facts: []byte("b")}},
			Elsewhere: []Elsewhere{{Edition: "e1", Name: "session_spread", Value: 0.002}, {Edition: "e2", Name: "session_spread", Value: 0.002}}}
	}
	want := EditionID(base())
	if !editionID.MatchString(want) {
		t.Fatalf("id %q", want)
	}
	same := base()
	same.Raw[0], same.Raw[1] = same.Raw[1], same.Raw[0]
	same.Elsewhere[0], same.Elsewhere[1] = same.Elsewhere[1], same.Elsewhere[0]
	if got := EditionID(same); got != want {
		t.Errorf("the order of captures changes the id: %s, was %s", got, want)
	}
	seen := map[string]string{want: "nothing"}
	for name, change := range map[string]func(*Identity){
		"definitions":        func(id *Identity) { id.DefinitionsVersion = 2 },
		"plan":               func(id *Identity) { id.Plan = []byte("{ }") },
		"log":                func(id *Identity) { id.Log = []byte("x") },
		"plan and log":       func(id *Identity) { id.Plan, id.Log = []byte("{"), []byte("}") },
		"hash":               func(id *Identity) { id.Raw[0].SHA256[31] = 1 },
		"facts":              func(id *Identity) { id.Raw[0].Facts = []byte("c") },
		"facts moved":        func(id *Identity) { id.Raw[0].Facts, id.Raw[1].Facts = []byte("ab"), nil },
		"facts exchanged":    func(id *Identity) { id.Raw[0].Facts, id.Raw[1].Facts = id.Raw[1].Facts, id.Raw[0].Facts },
		"a capture less":     func(id *Identity) { id.Raw = id.Raw[:1] },
		"value":              func(id *Identity) { id.Elsewhere[0].Value = 0.0020000000000000005 },
		"edition":            func(id *Identity) { id.Elsewhere[0].Edition = "e3" },
		"name":               func(id *Identity) { id.Elsewhere[0].Name = "x" },
		"nothing from there": func(id *Identity) { id.Elsewhere = nil },
	} {
		id := base()
		change(&id)
		got := EditionID(id)
		if other, ok := seen[got]; ok {
			t.Errorf("%s and %s have one id", name, other)
		}
		seen[got] = name
	}
}
