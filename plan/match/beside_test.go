package match

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/rigslate/rigslate/plan"
)

// Files beside captures are told by what their names say, as captures are: {any}, leading zeros, modes left out.
func TestBeside(t *testing.T) {
	const frames = "captures/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
	withSensors := func(path string, sensors ...string) plan.Files {
		f := byPath(path)
		for _, s := range sensors {
			f.Sensors = append(f.Sensors, plan.Sensors{Path: s})
		}
		return f
	}
	type beside map[string][]string
	for _, c := range []struct {
		name   string
		files  []plan.Files
		names  []string
		beside beside
		rest   []string // strays and others
	}{
		{
			name:  "by number, in any writing of it",
			files: []plan.Files{withSensors(frames, "sensors/{card}-{mode}.{game}.{variant}.{resolution}.r{repeat}.{any}.csv", "wall/{card}/{game}_{variant}_{resolution}_{repeat}")},
			names: []string{"captures/tern_ref/kelp_uhd_1.csv", "captures/heron_x-stock/fjord_plain_uhd_2.csv", "captures/heron_x-stock/fjord_plain_uhd_3.csv",
				"sensors/tern_ref.kelp.uhd.r01.bench a.csv", "sensors/heron_x-stock.fjord.plain.uhd.r2..csv",
				"sensors/heron_x-stock.fjord.plain.uhd.r4.late.csv", "sensors/heron_x-stock.fjord.uhd.r3.x.csv", "wall/tern_ref/kelp_uhd_1", "wall/heron_x/fjord_plain_uhd_02"},
			beside: beside{
				"captures/tern_ref/kelp_uhd_1.csv":             {"sensors/tern_ref.kelp.uhd.r01.bench a.csv", "wall/tern_ref/kelp_uhd_1"},
				"captures/heron_x-stock/fjord_plain_uhd_2.csv": {"sensors/heron_x-stock.fjord.plain.uhd.r2..csv", "wall/heron_x/fjord_plain_uhd_02"},
				"captures/heron_x-stock/fjord_plain_uhd_3.csv": {"- no file of the form sensors/{card}-{mode}.{game}.{variant}.{resolution}.r{repeat}.{any}.csv is of it",
					"- no file of the form wall/{card}/{game}_{variant}_{resolution}_{repeat} is of it"},
			},
			rest: []string{"stray sensors/heron_x-stock.fjord.plain.uhd.r4.late.csv (lies beside heron_x·stock fjord·plain uhd pass 4, of which there is no capture)",
				"other 1 [sensors/heron_x-stock.fjord.uhd.r3.x.csv]"},
		},
		{
			name:   "by time",
			files:  []plan.Files{withSensors("{card}_{game}_{resolution}_{time}.csv", "{card}_{game}_{resolution}_{time}.log")},
			names:  []string{"tern_ref_kelp_uhd_20270221T083000.csv", "tern_ref_kelp_uhd_2027-02-21_08-30-00.log", "tern_ref_kelp_uhd_20270221T083001.log"},
			beside: beside{"tern_ref_kelp_uhd_20270221T083000.csv": {"tern_ref_kelp_uhd_2027-02-21_08-30-00.log"}},
			rest:   []string{"stray tern_ref_kelp_uhd_20270221T083001.log (lies beside tern_ref·stock kelp·plain uhd of 20270221T083001, of which there is no capture)"},
		},
		{
			name:   "two that nothing tells apart",
			files:  []plan.Files{withSensors("{card}_{game}_{resolution}_{repeat}.csv", "{card}_{game}_{resolution}_{repeat}.{any}.log")},
			names:  []string{"tern_ref_kelp_uhd_1.csv", "tern_ref_kelp_uhd_1.a.log", "tern_ref_kelp_uhd_1.b.log"},
			beside: beside{"tern_ref_kelp_uhd_1.csv": {"- both tern_ref_kelp_uhd_1.a.log and tern_ref_kelp_uhd_1.b.log may lie beside it"}},
		},
		{
			name:  "one of two captures",
			files: []plan.Files{withSensors("{card}-{mode}_{game}_{variant}_{resolution}_{repeat}.csv", "{card}_{game}_{variant}_{resolution}_{repeat}.log")},
			names: []string{"heron_x-stock_fjord_plain_uhd_1.csv", "heron_x-tuned_fjord_plain_uhd_1.csv", "heron_x_fjord_plain_uhd_1.log"},
			beside: beside{"heron_x-stock_fjord_plain_uhd_1.csv": {"- heron_x_fjord_plain_uhd_1.log may lie beside another capture too"},
				"heron_x-tuned_fjord_plain_uhd_1.csv": {"- heron_x_fjord_plain_uhd_1.log may lie beside another capture too"}},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := map[string]string{}
			for _, n := range c.names {
				files[n] = "x"
			}
			found, findings := find(t, example(c.files...), files)
			got := beside{}
			for _, f := range found.Files {
				for _, b := range f.Beside {
					if b.Path == "" {
						b.Path = "- " + b.Why
					}
					got[f.Path] = append(got[f.Path], b.Path)
				}
			}
			if diff := cmp.Diff(c.beside, got); diff != "" {
				t.Error(diff)
			}
			var rest []string
			for _, line := range found.lines() {
				if line[0] == 's' || line[:5] == "other" {
					rest = append(rest, line)
				}
			}
			if diff := cmp.Diff(c.rest, rest); diff != "" || findings != nil {
				t.Error(diff, findings)
			}
		})
	}
}
