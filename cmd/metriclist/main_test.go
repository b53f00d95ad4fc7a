package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/rigslate/rigslate/compute"
)

func TestListIsUpToDate(t *testing.T) {
	got, err := os.ReadFile("../../plan/metrics_list.go")
	if err != nil {
		t.Fatal(err)
	}
	want, err := list(compute.Metrics())
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(bytes.ReplaceAll(got, []byte("\r\n"), []byte("\n")))); diff != "" {
		t.Errorf("go generate ./cmd/metriclist (+ what is there):\n%s", diff)
	}
}

// The units are those of the plan language's page: a rate and a time in their own, a share in percentage points on either side, hitches
// by the minute, differences in percent unless a percent means nothing.
func TestUnits(t *testing.T) {
	for _, tt := range []struct{ name, unit, difference string }{
		{"mean_fps", "fps", ""}, {"frame_ms_p99", "ms", ""}, {"rmssd_ms", "ms", ""}, {"over_60hz_share", "pp", "pp"}, {"hitch_time_share", "pp", "pp"},
		{"hitch_events", "per min", ""},
	} {
		m, ok := compute.MetricByName(tt.name)
		if !ok {
			t.Fatalf("no metric %s", tt.name)
		}
		if unit, difference := units(m); unit != tt.unit || difference != tt.difference {
			t.Errorf("%s is stated in %q and %q, want %q and %q", tt.name, unit, difference, tt.unit, tt.difference)
		}
	}
}

func TestRun(t *testing.T) {
	var stderr bytes.Buffer
	if code := run(nil, &stderr); code != 2 || stderr.Len() == 0 {
		t.Errorf("without a file: code %d, %q", code, stderr.String())
	}
	stderr.Reset()
	if code := run([]string{filepath.Join(t.TempDir(), "none", "list.go")}, &stderr); code != 1 || stderr.Len() == 0 {
		t.Errorf("a file that cannot be written: code %d, %q", code, stderr.String())
	}
	path := filepath.Join(t.TempDir(), "list.go")
	if code := run([]string{path}, &stderr); code != 0 {
		t.Fatalf("code %d, %s", code, stderr.String())
	}
	if text, err := os.ReadFile(path); err != nil || !bytes.Contains(text, []byte(`{"mean_fps", "fps", ""}`)) {
		t.Errorf("%v, written:\n%s", err, text)
	}
}
