package review

import (
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/ingest"
	"github.com/rigslate/rigslate/plan"
)

// soakCopy is one file of a soak on its way into the archive.
type soakCopy struct {
	raw rawCopy
	log *archive.Log // nil for a capture of frames
}

// copyOf begins the copy of a soak's file. What is no file on disk is not copied; the reader meets it and says so.
func (b *soakBench) copyOf(file fs.File) (rawCopy, error) {
	f, ok := file.(*os.File)
	if !ok {
		return rawCopy{}, nil
	}
	return b.keeper.raw(f)
}

// archived lays a log out for the archive, on the clock of its soak.
func (b *soakBench) archived(log *ingest.Log, shift int64, l plan.SoakLog) *archive.Log {
	out := &archive.Log{Mode: b.run.Mode.Mode, Protocol: b.run.Soak, Repeat: int32(b.run.Repeat), ID: fmt.Sprintf("%x", log.SHA256[:8]),
		TimesNS: make([]int64, len(log.TimesNS))}
	for i, t := range log.TimesNS {
		out.TimesNS[i] = t + shift
	}
	out.Channels = logChannels(log, b.soak.Logs[l.Log].Channels)
	return out
}

// takeSoak archives the files of one soak. A log says which capture of frames was made beside it.
func (k *keeper) takeSoak(s Soak, copies map[string]soakCopy) error {
	frames := ""
	for _, f := range s.Files {
		if c, ok := copies[f.Path]; ok && c.log == nil && f.Err == nil {
			frames = fmt.Sprintf("%x", f.SHA256[:8])
		}
	}
	for _, f := range s.Files {
		c, ok := copies[f.Path]
		if !ok || k.staging == nil {
			continue
		}
		if f.Err != nil {
			c.raw.discard()
			continue
		}
		if err := c.raw.keep(f.SHA256, f.Bytes); err != nil {
			return fmt.Errorf("%w: storing %s: %w", ErrDisk, f.Path, err)
		}
		if c.log == nil {
			continue
		}
		c.log.FramesRunID = frames
		if err := k.sense(s.Mode.Card, *c.log); err != nil {
			return fmt.Errorf("%w: archiving %s: %w", ErrDisk, f.Path, err)
		}
	}
	return nil
}

// logChannels lays the channels of a log out for the archive.
func logChannels(log *ingest.Log, declared []plan.Channel) (out []archive.Channel) {
	for i, c := range log.Channels {
		out = append(out, archive.Channel{Key: c.Key, Unit: c.Unit.String(), MeasuredAt: declared[i].At, Values: c.Values, Valid: c.Valid})
	}
	return out
}

// sensePasses archives the logs that lie beside passes, behind those of soaks, pass by pass in plan order. What a capture's own columns read stands
// in frames.
func (k *keeper) sensePasses(r *Review) error {
	for _, p := range r.Passes {
		for i, log := range p.Sensors.logs {
			f := p.Sensors.Files[i]
			if log == nil || p.Err != nil {
				continue
			}
			out := archive.Log{Mode: p.Key.Mode, Repeat: int32(p.Repeat), ID: fmt.Sprintf("%x", f.SHA256[:8]), FramesRunID: runID(p), TimesNS: log.TimesNS,
				Channels: logChannels(log, p.File.Files.Sensors[i].Channels)}
			if err := k.sense(p.Key.Card, out); err != nil {
				return fmt.Errorf("%w: archiving %s: %w", ErrDisk, f.Path, err)
			}
		}
	}
	return nil
}

// hasValues tells a log that says something from one whose cells are all empty, which has no rows to archive.
func hasValues(log archive.Log) bool {
	return slices.ContainsFunc(log.Channels, func(c archive.Channel) bool { return c.Valid == nil || slices.Contains(c.Valid, true) })
}

// sense writes a log into its card's file of sensors. Soaks come protocol by protocol, so the files of all cards with one are open at a time,
// at 1 to 3 MB each; no more soaks than workers, and one, are held at once.
func (k *keeper) sense(card string, log archive.Log) error {
	if !hasValues(log) {
		return nil
	}
	w := k.sensors[card]
	if w == nil {
		var err error
		if w, err = k.staging.Sensors(card); err != nil {
			return err
		}
		if k.sensors == nil {
			k.sensors = map[string]*archive.SensorsWriter{}
		}
		k.sensors[card] = w
		k.sensed = append(k.sensed, card)
	}
	return w.Write(log)
}

// closeSensors ends the files of sensors, all of them whatever happens.
func (k *keeper) closeSensors() error {
	var bad []string
	for _, card := range k.sensed {
		if err := k.sensors[card].Close(); err != nil {
			bad = append(bad, fmt.Sprintf("%s: %v", card, err))
		}
	}
	k.sensors, k.sensed = nil, nil
	if bad != nil {
		return fmt.Errorf("%w: finishing the sensors of %s", ErrDisk, strings.Join(bad, "; "))
	}
	return nil
}
