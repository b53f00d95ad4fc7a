package review

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
)

const reactor = "kestrel.reactor.2560x1440."

// spoil writes a capture that cannot be used, and further plan text.
func spoil(t *testing.T, dir, file, more string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, "captures", file), []byte("frame,elapsed_s,frame_ms,submit_ms,wait_ms\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "more.hcl"), []byte(more), 0o666); err != nil {
		t.Fatal(err)
	}
}

func reactorCell(t *testing.T, r *Review) Cell {
	t.Helper()
	key := plan.Key{Card: "kestrel", Mode: "stock", Game: "reactor", Variant: "plain", Resolution: "qhd"}
	i := slices.IndexFunc(r.Cells, func(c Cell) bool { return c.Cell.Key == key })
	if i < 0 {
		t.Fatal("no such cell")
	}
	return r.Cells[i]
}

func TestAVoidFileNeedNotBeReadable(t *testing.T) {
	dir := copied(t, "real")
	spoil(t, dir, reactor+"r4.frames.csv.gz", "void \"captures/"+reactor+"r4.frames.csv.gz\" { reason = \"stopped by hand\" }\n")
	r := do(t, options(dir))
	if c := reactorCell(t, r); c.State != coverage.Ready || !r.Ready {
		t.Errorf("the cell is %s: %v", c.State, c.Why)
	}
}

func TestAnUnreadableFileTakesNoOthersPlace(t *testing.T) {
	dir := copied(t, "real")
	spoil(t, dir, reactor+"r4.frames.csv.gz", "")
	r, err := Do(context.Background(), options(dir))
	if err == nil || r.Ready {
		t.Error("an unreadable capture is passed over")
	}
	if c := reactorCell(t, r); c.State != coverage.Ready || len(r.Todo) != 0 {
		t.Errorf("the cell is %s, to do: %v", c.State, r.Todo)
	}
}

func TestAVoidPassIsReplacedUnderANumberOfItsOwn(t *testing.T) {
	dir := copied(t, "real")
	if err := os.WriteFile(filepath.Join(dir, "more.hcl"), []byte("void \"captures/"+reactor+"r2.frames.csv.gz\" { reason = \"an update ran\" }\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	c := reactorCell(t, do(t, options(dir)))
	if c.State != coverage.Short || !slices.Equal(c.Again, []int{4}) {
		t.Errorf("the cell is %s, to run: %v; want short, pass 4", c.State, c.Again)
	}
}

// An unreadable file changes what the tables say of a cell, so it makes another edition and not a conflict.
func TestAFileThatCannotBeReadIsPartOfTheEdition(t *testing.T) {
	dir := copied(t, "real")
	name := reactor + "r2.frames.csv.gz"
	spoil(t, dir, name, "")
	o := options(dir)
	o.Partial = true
	first, err := Do(context.Background(), o)
	if err == nil || first.Kept.Edition == "" {
		t.Fatalf("kept %+v, %v", first.Kept, err)
	}
	if err := os.Remove(filepath.Join(dir, "captures", name)); err != nil {
		t.Fatal(err)
	}
	if again := do(t, o); again.Kept.Already || again.Kept.Edition == first.Kept.Edition {
		t.Errorf("edition %s after %s", again.Kept.Edition, first.Kept.Edition)
	}
}
