package review

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/klauspost/compress/zstd"

	"github.com/rigslate/rigslate/compute"
)

// outside is what another program worked out: text by table, key and column, taken away as it is compared, so that what nobody
// asked for is seen.
type outside struct {
	t        *testing.T
	figures  map[[2]string]map[string]string
	compared map[string]int // figures, by table
	failed   int
}

// askOutside runs a program that prints a line a figure: table, key, column, value, "NA" where there is none, and perhaps what the
// archive says, which must be the value of that figure too.
func askOutside(t *testing.T, cmd *exec.Cmd) *outside {
	t.Helper()
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v: %s", cmd, err, stderr.String())
	}
	o := &outside{t: t, figures: map[[2]string]map[string]string{}, compared: map[string]int{}}
	for line := range strings.Lines(string(out)) {
		part := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if len(part) < 4 {
			t.Fatalf("%q is no figure", line)
		}
		at := [2]string{part[0], part[1]}
		if o.figures[at] == nil {
			o.figures[at] = map[string]string{}
		}
		if _, twice := o.figures[at][part[2]]; twice {
			t.Fatalf("%q stands twice", line)
		}
		o.figures[at][part[2]] = part[3]
		if len(part) > 4 && !same(part[2], part[4], part[3]) {
			o.complain("%s: in the archive %s, want %s", strings.Join(part[:3], " "), part[4], part[3])
		}
	}
	return o
}

// needOutside skips a test whose outside program is not there, but never in CI.
func needOutside(t *testing.T, program string, alsoNeeds ...string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	for _, file := range alsoNeeds {
		if err == nil {
			_, err = os.Stat(file)
		}
	}
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatalf("the outside check cannot be made: %v", err)
	}
	if err != nil {
		t.Skipf("needs what .ci/run installs: %v", err)
	}
	return path
}

// complain reports the first disagreements; the rest would say the same.
func (o *outside) complain(format string, args ...any) {
	o.t.Helper()
	if o.failed++; o.failed <= 30 {
		o.t.Errorf(format, args...)
	}
}

// take hands out a figure once.
func (o *outside) take(table, key, column string) (text string, ok bool) {
	row := o.figures[[2]string{table, key}]
	text, ok = row[column]
	if delete(row, column); len(row) == 0 {
		delete(o.figures, [2]string{table, key})
	}
	return text, ok
}

// has reports whether there is any figure under a key.
func (o *outside) has(table, key string) bool { return len(o.figures[[2]string{table, key}]) > 0 }

// row compares every column of a row of the archive but those named.
func (o *outside) row(table, key string, row any, others map[string]bool) {
	o.t.Helper()
	v := reflect.ValueOf(row)
	for i, column := range columnsOf(row) {
		if !others[column] && column != "-" {
			o.figure(table, key, column, v.Field(i).Interface())
		}
	}
}

// columnsOf names the columns of a row's fields, in order; "-" is no column.
func columnsOf(row any) (names []string) {
	for _, f := range reflect.VisibleFields(reflect.TypeOf(row)) {
		column, _, _ := strings.Cut(f.Tag.Get("parquet"), ",")
		names = append(names, column)
	}
	return names
}

// value compares a figure of compute.
func (o *outside) value(table, key, column string, v compute.Value) {
	o.t.Helper()
	o.figure(table, key, column, figure(v))
}

// figure compares one figure: a number, a text, a truth as 0 or 1, or a pointer to one, nil for none.
func (o *outside) figure(table, key, column string, ours any) {
	o.t.Helper()
	want, ok := o.take(table, key, column)
	if !ok {
		o.complain("%s: %s: nobody else worked %s out: do so in .ci/crosscheck, or say in crosscheck_test.go that no arithmetic is behind it", table, key, column)
		return
	}
	o.compared[table]++
	if got := asText(ours); !same(column, got, want) {
		o.complain("%s: %s: %s is %s, want %s", table, key, column, got, want)
	}
}

// asText writes a figure as the outside programs do.
func asText(figure any) string {
	v := reflect.ValueOf(figure)
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return "NA"
		}
		v = v.Elem()
	}
	switch v.Kind() {
	case reflect.Float64:
		return strconv.FormatFloat(v.Float(), 'g', -1, 64)
	case reflect.Int, reflect.Int32, reflect.Int64:
		return strconv.FormatInt(v.Int(), 10)
	case reflect.Bool:
		if v.Bool() {
			return "1"
		}
		return "0"
	}
	return v.String()
}

// cancels are the columns that are a difference of nearly equal figures, with what float64 may have lost of it, in their unit.
// R's interpolation counts frames from the beginning of the pass, which costs a drift another digit. A p far below any that is ever
// read moves by a thousand times what its t does.
var cancels = map[string]float64{"difference": 1e-12, "percent": 1e-12, "drift_pct": 1e-11,
	"p": 1e-40, "p_for": 1e-40, "p_sign": 1e-40, "p_against": 1e-40}

// same reports whether two texts are the same, or numbers that agree to 1e-9.
func same(column, got, want string) bool {
	if got == want {
		return true
	}
	x, err1 := strconv.ParseFloat(got, 64)
	y, err2 := strconv.ParseFloat(want, 64)
	return err1 == nil && err2 == nil && math.Abs(x-y) <= max(1e-9*math.Abs(y), cancels[column])
}

// done reports what was never asked for, and whether as many figures were compared as there ought to be.
func (o *outside) done() {
	o.t.Helper()
	for at, row := range o.figures {
		for column := range row {
			o.complain("%s: %s: %s was compared with nothing", at[0], at[1], column)
		}
	}
	if o.failed > 30 {
		o.t.Errorf("%d disagreements in all", o.failed)
	}
	o.t.Logf("figures compared: %v", o.compared)
}

// unpack writes what is in the .zst files of a folder beside them, which is all that is done for a program that cannot.
func unpack(t *testing.T, dir string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".zst" {
			return err
		}
		return os.WriteFile(strings.TrimSuffix(path, ".zst"), unpackedFile(t, path), 0o666)
	})
	if err != nil {
		t.Fatal(err)
	}
}

func unpackedFile(t *testing.T, path string) []byte {
	t.Helper()
	packed, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	z, err := zstd.NewReader(nil)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	content, err := z.DecodeAll(packed, nil)
	if err != nil {
		t.Fatal(err)
	}
	return content
}

// slowed rewrites a capture in ms with each frame longer by a share that depends on when, in ms of the capture, it begins.
func slowed(t *testing.T, path string, by func(startMS float64) float64) {
	t.Helper()
	var out strings.Builder
	start := 0.0
	for line := range strings.Lines(string(unpackedFile(t, path))) {
		ms, err := strconv.ParseFloat(strings.TrimSpace(line), 64)
		if err != nil {
			out.WriteString(line) // a comment, or the header
			continue
		}
		fmt.Fprintf(&out, "%.6f\n", ms*(1+by(start)))
		start += ms
	}
	z, err := zstd.NewWriter(nil)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	if err := os.WriteFile(path, z.EncodeAll([]byte(out.String()), nil), 0o666); err != nil {
		t.Fatal(err)
	}
}
