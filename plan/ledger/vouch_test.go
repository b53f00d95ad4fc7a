package ledger

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/rigslate/rigslate/plan"
)

func TestVouch(t *testing.T) {
	dir := t.TempDir()
	cell := plan.Key{Card: "heron_x", Mode: "stock", Game: "bazaar", Variant: "plain", Resolution: "qhd"}
	other := plan.Key{Card: "heron_x", Mode: "tuned", Game: "bazaar", Variant: "plain", Resolution: "qhd"}
	const reason, renewed = "host-limited scene; spread is real", "looked again after the redo"
	ab := []string{shaA, shaB}
	for i, c := range []struct {
		cell   plan.Key
		files  []string
		reason string
		write  bool
		ok     bool
		was    []string
	}{
		{cell, nil, reason, true, false, nil}, // nothing there to look at
		{cell, ab, reason, true, true, ab},
		{cell, []string{shaB, shaA, shaB}, reason, false, true, ab},
		{cell, []string{shaA}, reason, true, false, ab},
		{cell, nil, reason, true, false, ab},
		{cell, ab, reason, true, true, ab}, // the files are back as they were
		{cell, []string{shaA}, renewed, true, true, []string{shaA}},
		{cell, ab, reason, false, true, ab},
		{other, []string{shaB}, reason, true, true, []string{shaB}},
	} {
		ok, was, err := open(t, dir).Vouch(c.cell, c.files, c.reason, c.write)
		if err != nil || ok != c.ok || !slices.Equal(was, c.was) {
			t.Errorf("step %d: %v %v %v", i, ok, was, err)
		}
	}
	if got := names(t, dir); len(got) != 3 {
		t.Fatalf("one file for each vouch: %v", got)
	}
}

func TestVouchDamaged(t *testing.T) {
	dir := t.TempDir()
	k := plan.Key{Card: "heron_x"}
	if _, _, err := open(t, dir).Vouch(k, []string{shaA}, "seen", true); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, names(t, dir)[0])
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, bytes.Replace(data, []byte(shaA), []byte(shaB), 1), 0o666); err != nil {
		t.Fatal(err)
	}
	_, _, err = open(t, dir).Vouch(k, []string{shaB}, "seen", true)
	if _, ok := errors.AsType[*Damaged](err); !ok {
		t.Fatalf("got %v", err)
	}
}

func TestSettings(t *testing.T) {
	m := plan.CardMode{Raises: []plan.Number{{Key: "power_pct", Value: 10}, {Key: "core_mhz", Value: 90.5}}, Settings: []plan.Pair{{Key: "fan", Value: "auto"}}}
	v := plan.Variant{Settings: []plan.Pair{{Key: "preset", Value: "highest"}, {Key: "api", Value: `a"b`}}}
	want := `mode fan="auto"; mode.raises core_mhz=90.5; mode.raises power_pct=10; variant api="a\"b"; variant preset="highest"`
	if got := Settings(m, v); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	slices.Reverse(v.Settings)
	slices.Reverse(m.Raises)
	if got := Settings(m, v); got != want {
		t.Errorf("the order of writing matters: %s", got)
	}
	if got := Settings(plan.CardMode{}, plan.Variant{}); got != "" {
		t.Errorf("got %q", got)
	}
}
