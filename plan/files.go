package plan

import (
	"fmt"
	"slices"
	"strings"

	"golang.org/x/text/encoding/htmlindex"
)

// encodings are the names most captures need; any name of the WHATWG list is taken. "auto" goes by byte order mark and bytes.
var encodings = []string{"auto", "utf-8", "utf-16le", "utf-16be", "windows-1250", "windows-1251", "windows-1252", "iso-8859-1",
	"iso-8859-2", "iso-8859-15"}

var timeUnits = []string{"s", "ms", "us", "ns"}

// frameColumns are the columns that every archived frame has.
var frameColumns = []string{"card", "run_id", "frame", "kept", "frame_ns"}

func (l *loader) files(b *block) {
	f := Files{Name: b.name, Path: b.text("path"), Log: b.text("log"), Text: b.textForm(), FrameTime: b.column("frame_time"),
		Timestamp: b.column("timestamp"), KeepRows: b.keepRows(), MeasuredAt: b.word("measured_at", "submit", "present", "display"),
		Extra: b.extras(), Place: b.at(), PathPlace: b.place("path")}
	if !b.has("frame_time") && !b.has("timestamp") {
		l.error(b.header, "Something is missing", fmt.Sprintf("%s says neither frame_time nor timestamp.", b.what),
			`Add frame_time = { column = "…", unit = "ms" }, or timestamp = …`)
	}
	if !b.has("path") && !b.has("log") {
		l.error(b.header, "Something is missing", fmt.Sprintf("%s has neither path nor log.", b.what), `Add path = "captures/{card}-{mode}/…".`)
	}
	if f.Path != "" {
		l.checkPattern(b, f)
	}
	if f.Log != "" {
		if why := badPath(f.Log); why != "" {
			l.error(b.rangeOf("log"), "Path is refused", why, "Write it relative to the captures' folder, with /.")
		}
	}
	for _, other := range l.plan.Files {
		if other.Path == f.Path && f.Path != "" && !b.again {
			l.error(b.rangeOf("path"), "Same path twice", fmt.Sprintf("files %s has it too.", quote(other.Name)), "Join the two blocks, or mend one path.")
			break
		}
	}
	l.sensorsOf(b, &f)
	if !b.again {
		l.plan.Files = append(l.plan.Files, f)
	}
}

func (f *fields) textForm() Text {
	t := Text{Delimiter: DefaultDelimiter, Decimal: DefaultDecimal, Encoding: DefaultEncoding}
	o, ok := f.object("text", "text")
	if !ok {
		return t
	}
	set := func(key string, to *string, known ...string) {
		if w := o.word(key, known...); w != "" {
			*to = w
		}
	}
	set("delimiter", &t.Delimiter, ",", ";", "\t", " ", "|")
	set("decimal", &t.Decimal, ".", ",")
	if e, ok := o.raw("encoding"); ok && knownEncoding(e) {
		t.Encoding = e
		o.out["encoding"] = e
	} else if ok {
		o.word("encoding", encodings...) // says what there is
	}
	t.SkipLines, _ = o.whole("skip_lines", 0, 100_000)
	if s, ok := o.raw("comment"); ok {
		t.Comment = s
		o.out["comment"] = s
		if strings.TrimSpace(s) != s || len(s) > 8 || s == t.Delimiter {
			o.l.error(o.rangeOf("comment"), "Not a comment sign", o.of("comment")+" is "+quote(s)+".", `Write what comment lines begin with, such as "#", or "" for none.`)
		}
	}
	if t.Delimiter == t.Decimal {
		at := o.rangeOf("decimal")
		if !o.has("decimal") {
			at = o.rangeOf("delimiter")
		}
		o.l.error(at, "Delimiter and decimal sign are the same", "Both are "+quote(t.Decimal)+".", `Say both: delimiter = ";", decimal = ",".`)
	}
	return t
}

func knownEncoding(name string) bool {
	_, err := htmlindex.Get(name)
	return name == "auto" || err == nil && name != "replacement" && name == strings.ToLower(strings.TrimSpace(name))
}

// column reads { column, unit } of a time. A column is a header's name or a number from 1.
func (f *fields) column(key string) *Column {
	o, ok := f.object(key, "column")
	if !ok {
		return nil
	}
	c := o.columnName()
	c.Unit = o.word("unit", timeUnits...)
	return &c
}

func columnUnit(u string) bool { return keyForm.MatchString(u) && len(u) <= 16 }

func (f *fields) columnName() Column {
	e, ok := f.by["column"]
	if !ok {
		return Column{}
	}
	if v, ok := f.l.value(e.node); !ok || v.Type().FriendlyName() == "number" {
		if !ok {
			return Column{}
		}
		n, _ := f.whole("column", 1, 10_000)
		return Column{Index: n}
	}
	return Column{Name: f.text("column")}
}

func (f *fields) keepRows() *KeepRows {
	o, ok := f.object("keep_rows", "keep_rows")
	if !ok {
		return nil
	}
	k := &KeepRows{Column: o.columnName()}
	if s, ok := o.raw("equals"); ok {
		k.Equals = s
		o.out["equals"] = s
	}
	return k
}

// extras reads columns carried along. A time is archived as KEY_ns, anything else as KEY_unit, in small letters.
func (f *fields) extras() []Extra {
	o, ok := f.object("extra", "free")
	if !ok {
		return nil
	}
	var es []Extra
	names := map[string]string{}
	for _, e := range o.ownKeys() {
		x, ok := o.extra(e)
		if !ok {
			continue
		}
		c := x.Column
		name := e.key + "_" + strings.ToLower(c.Unit)
		if slices.Contains(timeUnits, c.Unit) {
			name = e.key + "_ns"
		}
		switch other := names[name]; {
		case slices.Contains(frameColumns, e.key) || slices.Contains(frameColumns, name):
			f.l.error(e.keyAt, "Column name is taken", fmt.Sprintf("%s would be archived as %s beside the fixed columns %s.", quote(e.key), name, strings.Join(frameColumns, ", ")),
				"Choose another key.")
		case other != "":
			f.l.error(e.keyAt, "Column name is taken", fmt.Sprintf("%s and %s would both be archived as %s.", quote(other), quote(e.key), name), "Choose another key.")
		}
		names[name] = e.key
		es = append(es, x)
	}
	return es
}

// extra reads { column, unit } and, of power, where it is measured.
func (f *fields) extra(e entry) (Extra, bool) {
	o, ok := f.object(e.key, "extra")
	if !ok {
		return Extra{}, false
	}
	x := Extra{Key: e.key, Column: o.columnName(), At: o.word("at", powerPoints...), Place: f.l.place(e.keyAt)}
	x.Column.Unit = o.text("unit")
	switch unit := x.Column.Unit; {
	case unit == "":
	case x.Senses() != "":
		o.placeOfPower(x.Senses() == Power, unit)
	case !columnUnit(unit):
		o.l.error(o.rangeOf("unit"), "Unit has a wrong form", o.of("unit")+" is "+quote(unit)+".",
			"It becomes part of a column's name: write s, ms, us, ns, or lower-case a-z, 0-9 and _, such as events; of a sensor C, W or MHz.")
	default:
		o.placeOfPower(false, unit)
	}
	return x, true
}

func (l *loader) void(b *block) {
	v := Void{Path: b.name, Reason: b.text("reason"), Place: l.place(b.nameAt)}
	switch why := badPath(v.Path); {
	case why != "":
		l.error(b.nameAt, "Path is refused", why, "Write it relative to the captures' folder, with /.")
	case strings.ContainsAny(v.Path, "*?{}") || strings.HasSuffix(v.Path, "/"):
		l.error(b.nameAt, "Void names no file", fmt.Sprintf("%s is no single file.", quote(v.Path)), "Write one void for each file.")
	}
	if !b.again {
		l.plan.Voids = append(l.plan.Voids, v)
	}
}

func (l *loader) vouch(b *block) {
	k, ok := b.cell("cell")
	v := Vouch{Cell: k, Reason: b.text("reason"), Place: b.place("cell")}
	if !ok {
		return
	}
	if c, there := l.plan.Cell(k); l.cellsKnown && (!there || c.Waived != "") {
		l.warningAt(v.Place, "Vouch matches nothing", fmt.Sprintf("The matrix does not ask for %s.", k), "Mend its cell, or delete it.")
	}
	for _, other := range l.plan.Vouches {
		if other.Cell == k {
			l.errorAt(v.Place, "Vouched for twice", fmt.Sprintf("%s is vouched for at %s.", k, other.Place), "Join the two.")
			break
		}
	}
	l.plan.Vouches = append(l.plan.Vouches, v)
}

func (l *loader) control(b *block) {
	k, ok := b.cell("cell")
	if !ok {
		return
	}
	at := b.place("cell")
	if c, there := l.plan.Cell(k); l.cellsKnown && (!there || c.Waived != "") {
		l.errorAt(at, "Control is not in the matrix", fmt.Sprintf("The matrix does not ask for %s.", k), "Name a cell that is passed, best of the baseline.")
	}
	l.plan.Controls = append(l.plan.Controls, Control{Cell: k, Place: at})
}
