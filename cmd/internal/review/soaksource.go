package review

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute/series"
	"github.com/rigslate/rigslate/plan"
)

// noteOf is the key under which a person notes what a figure is made of, where it is not logged.
func noteOf(figure string) string {
	switch {
	case strings.HasPrefix(figure, "sound_"), strings.HasPrefix(figure, "background_"):
		return "db"
	case figure == "mean_power_w":
		return "power_w"
	case figure == "fan_typical_rpm":
		return "rpm"
	case figure == "fan_start_c", figure == "fan_stop_c":
		return figure
	}
	return "temperature_c"
}

// follow says where a figure of the soak is from: the run_id of the log, or of the capture of frames, that it was worked out from, and over
// which stretch of the log; else the readings that were noted. Where there is neither it says nothing.
func (s Soak) follow(f *BenchFigure) {
	for _, file := range s.Files {
		if !file.There || file.Err != nil {
			continue
		}
		id := fmt.Sprintf("%x", file.SHA256[:8])
		switch {
		case slices.Contains(file.channels, f.Sensor):
			f.Source, f.Over = id, s.stretch(f.Name)
			return
		case file.log == plan.FramesLog && strings.HasPrefix(f.Name, "frame_rate_"):
			f.Source = id
			return
		}
	}
	var names []string
	key := noteOf(f.Name)
	for _, r := range s.noted {
		if r.Get(key) != nil && (key != "temperature_c" || r.Probe == f.Sensor) && (key != "power_w" || r.At == f.At) {
			names = append(names, "reading."+r.Name)
		}
	}
	f.Source = strings.Join(names, " ")
}

// stretch is what of a soak's logs a figure is of: the load, or the end of it. It is zero for one of the whole log, or of what follows the load.
func (s Soak) stretch(figure string) series.Span {
	switch figure {
	case "fan_start_c", "fan_stop_c", "cooling_drop_k":
		return series.Span{}
	case "end_c", "rise_k", "normalised_c", "sound_level_db", "sound_treatment", "sound_at_reference_db", "background_correction_db":
		return s.end
	}
	return s.Load
}
