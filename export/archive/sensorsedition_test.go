package archive

import (
	"bytes"
	"encoding/csv"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Any byte of a published sensors file that changed, and any that is missing, is damage.
func TestSensorsDamage(t *testing.T) {
	a := opened(t, t.TempDir())
	dir := mustPublish(t, a)
	path := filepath.Join(dir, "sensors-heron_x.parquet")
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	checkSensors(t, content, sampleLogs())
	damaged := func(what string, content []byte) {
		write(t, path, string(content))
		if _, err := a.CheckEdition(dir); !errors.Is(err, ErrDamaged) {
			t.Fatalf("%s: %v, want ErrDamaged", what, err)
		}
	}
	for i := range content {
		flipped := bytes.Clone(content)
		flipped[i] ^= 1 << (i % 8)
		damaged("byte "+strconv.Itoa(i), flipped)
	}
	for _, cut := range []int{0, 4, len(content) / 2, len(content) - 1} {
		damaged("cut to "+strconv.Itoa(cut), content[:cut])
	}
	if _, err := publish(t, a); !errors.Is(err, ErrDamaged) {
		t.Errorf("published again: %v, want ErrDamaged", err)
	}
	write(t, path, string(content))
	if got, err := publish(t, a); err != nil || got != AlreadyThere {
		t.Errorf("mended: %v, %v", got, err)
	}
}

// capturedLogs are the real sensor files, and the size of each.
func capturedLogs(t *testing.T) (logs []Log, bytes []int) {
	t.Helper()
	files, err := filepath.Glob("../../../shared/captures/*.sensors.csv")
	if err != nil || len(files) == 0 {
		t.Skip("needs ../shared/captures")
	}
	for _, path := range files {
		content, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(strings.NewReader(string(content))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		logs, bytes = append(logs, capturedLog(t, filepath.Base(path), rows)), append(bytes, len(content))
	}
	return logs, bytes
}

func capturedLog(t *testing.T, name string, rows [][]string) Log {
	t.Helper()
	l := Log{Mode: "stock", Protocol: name, Repeat: 1, ID: "aa"}
	for _, key := range rows[0][1:] {
		l.Channels = append(l.Channels, Channel{Key: key, Unit: key[strings.LastIndex(key, "_")+1:]})
	}
	for _, row := range rows[1:] {
		s, err := strconv.ParseFloat(row[0], 64)
		if err != nil {
			t.Fatal(err)
		}
		l.TimesNS = append(l.TimesNS, int64(math.Round(s*1e9)))
		for i, cell := range row[1:] {
			v, err := strconv.ParseFloat(strings.TrimSpace(cell), 64)
			ch := &l.Channels[i]
			ch.Values, ch.Valid = append(ch.Values, v), append(ch.Valid, err == nil)
		}
	}
	return l
}

// The real logs read back as they are, and take less than half of their CSV although most are of 150 rows.
func TestSensorsOfCaptures(t *testing.T) {
	logs, sizes := capturedLogs(t)
	all := writeSensors(t, t.TempDir(), logs)
	checkSensors(t, all, logs)
	samples := len(sensorRows("", logs))
	csv := 0
	for _, n := range sizes {
		csv += n
	}
	t.Logf("%d logs, %d samples: %.2f bytes a sample, as CSV %.2f", len(logs), samples, float64(len(all))/float64(samples), float64(csv)/float64(samples))
	if 2*len(all) > csv {
		t.Errorf("%d bytes for logs of %d", len(all), csv)
	}
	for _, name := range []string{"kestrel.soak.sensors.csv", "kestrel.heatsoak.sensors.csv"} {
		i := slices.IndexFunc(logs, func(l Log) bool { return l.Protocol == name })
		one := writeSensors(t, t.TempDir(), logs[i:i+1])
		t.Logf("%s: %.2f bytes a sample", name, float64(len(one))/float64(len(sensorRows("", logs[i:i+1]))))
	}
}
