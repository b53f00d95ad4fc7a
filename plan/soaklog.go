package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/plan/finding"
)

// SoakFile is where the files of a soak lie and how they are read: one for each mode and repeat.
type SoakFile struct {
	Path      string // with placeholders, each of which the soak settles; "" where Except names every file
	Text      Text
	Offset    time.Duration // added to the file's times, so that all files of a soak are on one clock
	Except    []Exception
	Modes     []Mode // whose soaks it logs
	Place     finding.Place
	PathPlace finding.Place
}

// Exception is one soak whose file lies elsewhere, or whose clock is off by something else.
type Exception struct {
	Mode         Mode
	Repeat       int           // 0: every one
	Path         string        // "" leaves the path
	Offset       time.Duration // in place of the file's, where OffsetStated
	OffsetStated bool
}

// Log is a logger's file: one time and any number of channels a line.
type Log struct {
	SoakFile
	Time     TimeColumn
	Channels []Channel
}

// SoakFrames is a capture of the frames under load, from which energy per frame follows.
type SoakFrames struct {
	SoakFile
	FrameTime, Timestamp *Column
	KeepRows             *KeepRows
	MeasuredAt           string
}

// SoakRun names one soak of one mode.
type SoakRun struct {
	Soak   string
	Mode   Mode
	Repeat int // from 1
}

func (r SoakRun) String() string { return fmt.Sprintf("%s %s, repeat %d", r.Soak, r.Mode, r.Repeat) }

// SoakLog is one file that a soak leaves.
type SoakLog struct {
	SoakRun
	Path   string // relative to the captures' folder
	Offset time.Duration
	Log    int // index in the soak's Logs, FramesLog for its Frames
}

// FramesLog is SoakLog.Log of a capture of frames.
const FramesLog = -1

// SoakRuns lists every soak that the plan asks for: protocol by protocol, mode by mode, repeat by repeat.
func (p *Plan) SoakRuns() []SoakRun {
	var rs []SoakRun
	for _, s := range p.Soaks {
		rs = append(rs, s.runs()...)
	}
	return rs
}

func (s Soak) runs() []SoakRun {
	var rs []SoakRun
	for _, m := range s.Modes {
		for n := range s.Repeats {
			rs = append(rs, SoakRun{s.Name, m, n + 1})
		}
	}
	return rs
}

// SoakLogs lists every file that the soaks should leave, in the order of SoakRuns, log by log, the frames last.
func (p *Plan) SoakLogs() []SoakLog {
	var out []SoakLog
	for _, s := range p.Soaks {
		for _, r := range s.runs() {
			for i, log := range s.Logs {
				out = p.addLog(out, s, r, log.SoakFile, i)
			}
			if s.Frames != nil {
				out = p.addLog(out, s, r, s.Frames.SoakFile, FramesLog)
			}
		}
	}
	return out
}

func (p *Plan) addLog(out []SoakLog, s Soak, r SoakRun, f SoakFile, at int) []SoakLog {
	if !slices.Contains(f.Modes, r.Mode) {
		return out
	}
	path, offset := f.Path, f.Offset
	for _, e := range f.Except {
		if e.Mode != r.Mode || e.Repeat != 0 && e.Repeat != r.Repeat {
			continue
		}
		if e.Path != "" {
			path = e.Path
		}
		if e.OffsetStated {
			offset = e.Offset
		}
	}
	if path == "" {
		return out
	}
	size := ""
	if z, ok := p.Resolution(s.Resolution); ok {
		size = z.Size()
	}
	path = strings.NewReplacer("{review}", p.Review.Name, "{soak}", s.Name, "{card}", r.Mode.Card, "{mode}", r.Mode.Mode, "{repeat}", itoa(r.Repeat),
		"{game}", s.Game.Game, "{variant}", s.Game.Variant, "{resolution}", s.Resolution, "{size}", size).Replace(path)
	return append(out, SoakLog{r, path, offset, at})
}

// soakPlaceholders are what the path of a soak's file may leave open: what the soak settles, so that every file has one name.
var soakPlaceholders = []string{"review", "soak", "card", "mode", "repeat", "game", "variant", "resolution", "size"}

func (l *loader) soakLog(b *block, s Soak) (Log, []wire) {
	log := Log{SoakFile: l.soakFile(b, s), Time: b.clock("time")}
	var ws []wire
	log.Channels, ws = b.channels(s, log.Modes)
	return log, ws
}

func (l *loader) soakFrames(b *block, s Soak) *SoakFrames {
	f := &SoakFrames{SoakFile: l.soakFile(b, s), FrameTime: b.column("frame_time"), Timestamp: b.column("timestamp"),
		KeepRows: b.keepRows(), MeasuredAt: b.word("measured_at", "submit", "present", "display")}
	if !b.has("frame_time") && !b.has("timestamp") {
		l.error(b.header, "Something is missing", fmt.Sprintf("%s says neither frame_time nor timestamp.", b.what),
			`Add frame_time = { column = "…", unit = "ms" }, or timestamp = …`)
	}
	if s.Load == Idle || s.Load == TwoDisplays {
		l.error(b.header, unfitting, fmt.Sprintf("The load of soak %s is %s, which draws no frames.", quote(s.Name), quote(string(s.Load))),
			"Delete the block, or name the game.")
	}
	return f
}

func (l *loader) soakFile(b *block, s Soak) SoakFile {
	f := SoakFile{Path: b.text("path"), Text: b.textForm(), Modes: b.modesOf(s), Place: b.at(), PathPlace: b.place("path")}
	f.Offset, _ = b.offset("offset")
	if f.Path != "" {
		l.soakPath(b.fields, f.Path, s)
	}
	for _, o := range b.objects("except", "except") {
		e := Exception{Path: o.text("path")}
		e.Offset, e.OffsetStated = o.offset("offset")
		e.Repeat, _ = o.whole("repeat", 1, s.Repeats)
		if m, ok := o.one("card", "card"); ok {
			e.Mode = Mode{m.name, m.member}
			l.inSoak(o, "card", s, e.Mode)
		}
		if e.Path != "" {
			l.soakPath(o, e.Path, s)
		}
		if !o.has("path") && !o.has("offset") {
			l.error(o.at, "Something is missing", fmt.Sprintf("%s says neither path nor offset.", o.what), `Add path = "…", or offset = "+2s".`)
		}
		if slices.ContainsFunc(f.Except, func(other Exception) bool { return other.Mode == e.Mode && other.Repeat == e.Repeat }) {
			l.error(o.at, "Exception stands twice", fmt.Sprintf("%s has another for the same soaks.", b.what), "Join the two, or add repeat = to one.")
		}
		f.Except = append(f.Except, e)
	}
	if !b.has("path") && !b.has("except") {
		l.error(b.header, "Something is missing", fmt.Sprintf("%s has no path.", b.what), `Add path = "soak/{card}-{mode}.csv".`)
	}
	return f
}

// soakPath looks at a path for form, and for placeholders that stand for nothing in this soak.
func (l *loader) soakPath(f *fields, path string, s Soak) {
	at := f.rangeOf("path")
	if why := badPath(path); why != "" {
		l.error(at, "Path is refused", why, "Write it relative to the captures' folder, with /.")
		return
	}
	has, ok := l.placeholders(at, path, soakPlaceholders)
	if !ok {
		return
	}
	for _, p := range soakPlaceholders {
		game := p == "game" || p == "variant"
		if has[p] && (game && s.Game == (GameVariant{}) || (p == "resolution" || p == "size") && s.Resolution == "") {
			l.error(at, "Placeholder stands for nothing", fmt.Sprintf("soak %s has no %s.", quote(s.Name), map[bool]string{true: "game", false: "resolution"}[game]),
				fmt.Sprintf("Delete {%s}.", p))
		}
	}
}

// soakFilesApart finds two soaks that would leave one file.
func (l *loader) soakFilesApart() bool {
	p := l.plan
	runs := 0
	for _, s := range p.Soaks {
		runs += len(s.Modes) * s.Repeats * (1 + len(s.Logs))
		if runs > maxCells {
			l.errorAt(s.Place, "Soaks are too many", fmt.Sprintf("The soaks to here leave %d files.", runs), fmt.Sprintf("A plan may have %d.", maxCells))
			return false
		}
	}
	first, said := map[string]SoakLog{}, map[finding.Place]bool{}
	for _, log := range p.SoakLogs() {
		other, taken := first[log.Path]
		if !taken {
			first[log.Path] = log
			continue
		}
		f := p.fileOf(log)
		if said[f.PathPlace] {
			continue
		}
		said[f.PathPlace] = true
		l.errorAt(f.PathPlace, "Path cannot tell soaks apart",
			fmt.Sprintf("%s would be the file of %s and of %s.", quote(log.Path), other.SoakRun, log.SoakRun), apart(f.Path, other, log))
	}
	return len(said) == 0
}

func (p *Plan) fileOf(log SoakLog) SoakFile {
	s, _ := p.Soak(log.Soak)
	if log.Log == FramesLog {
		return s.Frames.SoakFile
	}
	return s.Logs[log.Log].SoakFile
}

// apart is the mend for one name of two files.
func apart(path string, a, b SoakLog) string {
	for _, d := range []struct {
		unlike bool
		name   string
	}{{a.Soak != b.Soak, "{soak}"}, {a.Mode.Card != b.Mode.Card, "{card}"}, {a.Mode.Mode != b.Mode.Mode, "{mode}"}, {a.Repeat != b.Repeat, "{repeat}"}} {
		if d.unlike && !strings.Contains(path, d.name) {
			return "Add " + d.name + "."
		}
	}
	return "Write another path."
}
