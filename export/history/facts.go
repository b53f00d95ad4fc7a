package history

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// facts gathers the circumstances of a cell.
func (s stored) facts(k Key, m compute.Metric) Facts {
	f := Facts{Definitions: strconv.Itoa(s.DefinitionsVersion)}
	for _, p := range s.passes[k] {
		note(&f.Rig, text(p.Rig))
		note(&f.Build, text(p.Build))
		note(&f.Preset, text(p.Preset))
		note(&f.API, text(p.API))
		note(&f.Scene, text(p.Scene))
		note(&f.Drive, text(p.Drive))
		note(&f.Driver, text(p.Driver))
		note(&f.Firmware, text(p.Firmware))
		note(&f.Sample, text(p.Sample))
		note(&f.MeasuredAt, text(p.MeasuredAt))
		note(&f.Warmup, seconds(p.WarmupS, ""))
		note(&f.Length, seconds(p.LengthS, "to the end"))
		size := ""
		if p.Width != nil && p.Height != nil {
			size = fmt.Sprintf("%d×%d", *p.Width, *p.Height)
		}
		note(&f.Size, size)
	}
	if len(f.Rig) == 1 {
		fixed := map[string]any{}
		for name, v := range s.plan.Rig[f.Rig[0]].Fixed {
			if name == "os" {
				f.OS = fmt.Sprint(v)
				continue
			}
			fixed[name] = v
		}
		f.Fixed = compact(fixed)
	}
	mode := maps.Clone(s.plan.Card[k.Card].Mode[k.Mode])
	delete(mode, "firmware") // a circumstance of its own
	if f.Mode = compact(mode); f.Mode == "" {
		f.Mode = "as shipped"
	}
	f.Settings = compact(s.plan.Game[k.Game].Variant[k.Variant].Settings)
	if strings.Contains(m.Name, "quantile") || strings.HasPrefix(m.Name, "frame_ms_p") {
		f.Quantile = strconv.Itoa(s.plan.Statistics.Quantile)
	}
	return f
}

// FactsOf gathers the circumstances of a cell from its passes, as runs has them or would have them, and from plan.json.
func FactsOf(planJSON []byte, k Key, passes []archive.RunRow) (Facts, error) {
	s := stored{passes: map[Key][]passRow{}}
	if err := json.Unmarshal(planJSON, &s.plan); err != nil {
		return Facts{}, fmt.Errorf("%w: plan.json: %w", archive.ErrDamaged, err)
	}
	for _, p := range passes {
		s.passes[k] = append(s.passes[k], passRow{Width: p.Width, Height: p.Height, Rig: p.Rig, Driver: p.Driver, Firmware: p.Firmware, Sample: p.Sample,
			Build: p.Build, Preset: p.Preset, API: p.API, Scene: p.Scene, Drive: p.Drive, WarmupS: p.WarmupS, LengthS: p.LengthS, MeasuredAt: p.MeasuredAt})
	}
	return s.facts(k, compute.Metric{}), nil
}

// compact writes settings by name, so that like is like.
func compact(values map[string]any) string {
	var parts []string
	for name, v := range values {
		if inner, ok := v.(map[string]any); ok {
			v = "{" + compact(inner) + "}"
		}
		parts = append(parts, fmt.Sprintf("%s %v", strings.ReplaceAll(name, "_", " "), v))
	}
	slices.Sort(parts)
	return strings.Join(parts, ", ")
}

func note(to *[]string, value string) {
	if at, there := slices.BinarySearch(*to, value); !there {
		*to = slices.Insert(*to, at, value)
	}
}

func text(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

func seconds(s *float64, none string) string {
	if s == nil {
		return none
	}
	return strconv.FormatFloat(*s, 'f', -1, 64) + " s"
}
