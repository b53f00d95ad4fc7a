package thermocouple

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The files read here and their sources are described in testdata/reference/README.md.

// referenceCase reads one case of the reference file into a struct of its own.
func referenceCase(t *testing.T, id string, into any) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "reference", "thermocouple_k.json"))
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Cases []json.RawMessage }
	if err := json.Unmarshal(b, &file); err != nil {
		t.Fatal(err)
	}
	for _, c := range file.Cases {
		var head struct{ ID string }
		if err := json.Unmarshal(c, &head); err != nil {
			t.Fatal(err)
		}
		if head.ID == id {
			if err := json.Unmarshal(c, into); err != nil {
				t.Fatal(err)
			}
			return
		}
	}
	t.Fatalf("no case %s", id)
}

func within(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

// row is a line of the published table; NaN where a column is empty.
type row struct{ celsius, millivolts, printed, inverse float64 }

func table(t *testing.T) (rows []row) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "reference", "thermocouple_k_table.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	number := func(s string) float64 {
		if s == "" {
			return math.NaN()
		}
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, l := range lines[1:] {
		rows = append(rows, row{number(l[0]), number(l[1]), number(l[2]), number(l[4])})
	}
	if len(rows) < 40 {
		t.Fatalf("%d rows", len(rows))
	}
	return rows
}

// NIST Monograph 175: the reference function, worked out to 60 digits, to 1e-6 mV, and the printed table to its 0.001 mV.
func TestReferenceFunctionGivesTheTable(t *testing.T) {
	printed := 0
	for _, r := range table(t) {
		got := reference(r.celsius)
		if !within(got, r.millivolts, 1e-6) {
			t.Errorf("%g °C: %.7f mV, want %.6f", r.celsius, got, r.millivolts)
		}
		if !math.IsNaN(r.printed) {
			printed++
			if !within(got, r.printed, 0.0005+1e-9) {
				t.Errorf("%g °C: %.4f mV, printed %.3f", r.celsius, got, r.printed)
			}
		}
		v := Millivolts(r.celsius)
		if inside := r.celsius >= Least; v.OK != inside || inside && v.X != got {
			t.Errorf("%g °C: %+v", r.celsius, v)
		}
	}
	if printed < 30 {
		t.Errorf("%d printed values", printed)
	}
}

// The inverse polynomials, to 1e-4 K of what they give elsewhere, and within their stated error of the reference function.
func TestInverseGivesTheTable(t *testing.T) {
	var c struct {
		Ranges []struct {
			T     []float64 `json:"t_range_C"`
			Error []float64 `json:"stated_error_range_C"`
		}
	}
	referenceCase(t, "inverse_polynomials", &c)
	checked := 0
	for _, r := range table(t) {
		if math.IsNaN(r.inverse) {
			continue
		}
		checked++
		got := Celsius(r.millivolts)
		if !got.OK || !within(got.X, r.inverse, 1e-4) {
			t.Errorf("%g mV: %+v, want %.4f °C", r.millivolts, got, r.inverse)
		}
	}
	if checked < 40 {
		t.Errorf("%d rows checked", checked)
	}
	for _, in := range c.Ranges {
		for i := range 2001 {
			celsius := in.T[0] + (in.T[1]-in.T[0])*float64(i)/2000
			got := Celsius(Millivolts(celsius).X)
			off := got.X - celsius
			if !got.OK || off < in.Error[0]-0.005 || off > in.Error[1]+0.005 { // stated to two decimals
				t.Errorf("%g °C: back comes %+v, off by %.4f K, stated %v", celsius, got, off, in.Error)
			}
		}
	}
}

// The law of intermediate temperatures: voltages are added. 1e-4 K of the inverse polynomial, 0.06 K of the function turned over.
func TestColdJunction(t *testing.T) {
	var c struct {
		Cases []struct {
			MV    float64 `json:"measured_mV"`
			Cold  float64 `json:"cold_junction_C"`
			Exact float64 `json:"t_C_exact_inversion_of_reference_function"`
			Want  float64 `json:"t_C_inverse_polynomial"`
		}
	}
	referenceCase(t, "cold_junction_compensation", &c)
	for _, k := range c.Cases {
		got := Compensated(k.MV, k.Cold)
		if !got.OK || !within(got.X, k.Want, 1e-4) || !within(got.X, k.Exact, 0.06) {
			t.Errorf("%g mV at %g °C: %+v, want %.4f °C", k.MV, k.Cold, got, k.Want)
		}
	}
	if len(c.Cases) != 3 {
		t.Errorf("%d cases", len(c.Cases))
	}
}

func TestBeyondTypeK(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Millivolts(-200.5).Why, "-200.5 °C is beyond type K's -200 to 1372 °C"},
		{Millivolts(math.NaN()).Why, "NaN °C is beyond"},
		{Celsius(54.9).Why, "54.9 mV is beyond type K's -5.891 to 54.886 mV"},
		{Celsius(math.Inf(-1)).Why, "mV is beyond"},
		{Compensated(1, 2000).Why, "the cold junction: 2000 °C is beyond"},
		{Compensated(54, 100).Why, "58.0962 mV is beyond"},
	} {
		if c.want == "" || !strings.Contains(c.got, c.want) {
			t.Errorf("%q lacks %q", c.got, c.want)
		}
	}
}

// Warmer is more voltage; a cold junction at the junction's own temperature needs no voltage, and one at 0 °C changes nothing.
func TestVoltagesAsRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(Least, Most-0.01).Draw(t, "a")
		b := rapid.Float64Range(a+0.01, Most).Draw(t, "b")
		if low, high := Millivolts(a), Millivolts(b); !low.OK || !high.OK || low.X >= high.X {
			t.Fatalf("%g °C has %+v, %g °C %+v", a, low, b, high)
		}
		if same := Compensated(0, a); !same.OK || !within(same.X, a, 0.066) {
			t.Fatalf("no voltage with the ends at %g °C: %+v", a, same)
		}
		mv := Millivolts(a).X
		if plain, at0 := Celsius(mv), Compensated(mv, 0); plain != at0 {
			t.Fatalf("%+v, with the ends at 0 °C %+v", plain, at0)
		}
	})
}
