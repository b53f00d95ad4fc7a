package chart

import (
	"fmt"
	"strings"
)

// sheet is a picture in the making: title and settings at the top, legend and notes at the foot, and what is left between them.
type sheet struct {
	Picture
	fonts *Fonts
	body  Box
	back  Layer   // what belongs to no card: title, axis, legend
	under []Layer // drawn before the cards: the baseline
	cards []Layer
	ids   map[string]int
	whole bool // nothing was spared
}

// key is one part of the legend's sentence: a mark as the chart draws it, and what it means.
type key struct {
	draw  func(x, y, size float64) []Shape // from x on, in the middle of a line of that size; nil: words alone
	width float64                          // of the mark, in ems
	words string
	brief string // in its place where the legend has one line only
}

const lineHeight = ascent + descent

// spare says what a sheet goes without where its rows need the room.
type spare struct {
	titleLines, settingLines, noteLines, keyLines int
	footer                                        bool
}

// thrift is what is spared, step by step, until the rows have what they need. Nothing is lost by it that the description does not say.
var thrift = []spare{{2, 2, 2, 5, true}, {1, 1, 2, 5, true}, {1, 1, 2, 1, true}, {1, 1, 1, 1, false}, {1, 1, 0, 1, false}, {1, 1, 0, 0, false}}

// newSheet lays out what every chart has, leaving at least need units of height between head and foot if it can; if it can have wish units
// and go without nothing but lines of the title, the settings and the legend, it leaves those.
func newSheet(h Head, f Format, look Look, keys []key, wish, need float64) *sheet {
	var s *sheet
	for i, t := range append(thrift[:3:3], thrift...) {
		least := need
		if i < 3 {
			least = max(wish, need)
		}
		s = &sheet{Picture: Picture{Format: f, ID: h.Name, Title: clean(h.Title), look: look}, fonts: look.fonts(), body: f.safe(), ids: map[string]int{}}
		s.back.ID = "frame"
		s.head(h, t)
		s.foot(h, keys, t)
		if s.body.Bottom-s.body.Top >= least {
			s.whole = i == 0
			break
		}
	}
	return s
}

// enlarged lays a sheet out with text as large as the look asks for, or as large as leaves the rows their room with nothing spared. It is never less
// than it would be without a look.
func (l Look) enlarged(f Format, lay func(Format) *sheet) *sheet {
	for percent := l.Size; percent > 100; percent -= 5 {
		larger := f
		larger.Text = f.small() * percent / 100
		if s := lay(larger); s.whole {
			return s
		}
	}
	return lay(f)
}

// FooterFits tells whether the look's footer stands whole at the foot of every format.
func (l Look) FooterFits() bool {
	for _, f := range []Format{Wide, Tall} {
		if s := f.safe(); l.fonts().Width(clean(l.Footer), false)*f.small() > s.Right-s.Left {
			return false
		}
	}
	return true
}

// head sets title and settings.
func (s *sheet) head(h Head, t spare) {
	small := s.small()
	titleSize, setSize := 2.1*small, 1.15*small
	if s.Height > s.Width {
		titleSize, setSize = 1.5*small, small
	}
	if room := (s.body.Right - s.body.Left - 0.8*small) / s.fonts.Width(s.Title, true); t.titleLines == 1 && room < titleSize {
		titleSize = max(room, 1.1*small)
	}
	y, left := s.body.Top, s.body.Left
	bar := 0.28 * small
	if s.flat() {
		s.oneLineHead(h, 1.25*small, bar)
		return
	}
	titleTop := y
	for _, l := range s.fonts.wrap(s.Title, true, (s.body.Right-left-2.6*bar)/titleSize, t.titleLines) {
		s.put(&s.back, Text{X: left + 2.6*bar, Y: y + ascent*titleSize, Size: titleSize, Bold: true, Ink: InkText, S: l})
		y += lineHeight * titleSize
	}
	if y > titleTop {
		s.back.Shapes = append(s.back.Shapes, Shape{Path: rect(Box{left, titleTop + 0.2*titleSize, left + bar, y - 0.2*titleSize}), Fill: InkAccent})
	}
	for _, l := range s.fonts.wrap(clean(h.Settings), false, (s.body.Right-left)/setSize, t.settingLines) {
		s.put(&s.back, Text{X: left, Y: y + ascent*setSize, Size: setSize, Ink: InkSoft, S: l})
		y += lineHeight * setSize
	}
	s.body.Top = y + 0.4*small
}

// flat tells whether a picture is a band, which has no height to spare for a head of two lines.
func (s *sheet) flat() bool { return s.Height < s.Width/3 }

// oneLineHead sets title and settings beside each other; the settings have what the title leaves.
func (s *sheet) oneLineHead(h Head, size, bar float64) {
	small, left := s.small(), s.body.Left+2.6*bar
	base := s.body.Top + ascent*size
	t := s.put(&s.back, Text{X: left, Y: base, Size: size, Bold: true, Ink: InkText, S: s.fonts.fit(s.Title, true, (s.body.Right-left)/size)})
	if t.S != "" {
		s.back.Shapes = append(s.back.Shapes, Shape{Path: rect(Box{s.body.Left, s.body.Top + 0.2*size, s.body.Left + bar, s.body.Top + (lineHeight-0.2)*size}), Fill: InkAccent})
		left += t.Width + small
	}
	if room := (s.body.Right - left) / small; room > 4 {
		s.put(&s.back, Text{X: left, Y: base, Size: small, Ink: InkSoft, S: s.fonts.cut(clean(h.Settings), false, room)})
	}
	s.body.Top += lineHeight*size + 0.2*small
}

// foot sets legend, notes and the look's footer from below, and takes their room from the body.
func (s *sheet) foot(h Head, keys []key, t spare) {
	small := s.small()
	room := (s.body.Right - s.body.Left) / small
	footer := ""
	if t.footer {
		footer = s.fonts.fit(clean(s.look.Footer), false, room)
	}
	lines := keyLines(s.fonts, keys, room)
	if len(lines) > t.keyLines {
		lines = briefLine(s.fonts, keys, room)[:min(1, t.keyLines)]
	}
	var notes []string
	if t.noteLines > 0 {
		notes = s.fonts.wrap(clean(h.Notes), false, room, t.noteLines)
	}
	y := s.body.Bottom - descent*small
	if footer != "" {
		s.put(&s.back, Text{X: s.body.Right, Y: y, Anchor: End, Size: small, Ink: InkSoft, S: footer})
		last := room // what the line beside the footer takes
		if len(notes) > 0 {
			last = s.fonts.Width(notes[len(notes)-1], false)
		} else if len(lines) > 0 {
			last = widthOf(s.fonts, lines[len(lines)-1])
		}
		if last > room-s.fonts.Width(footer, false)-1 {
			y -= lineHeight * small
		}
	}
	for i := len(notes) - 1; i >= 0; i-- {
		s.put(&s.back, Text{X: s.body.Left, Y: y, Size: small, Ink: InkText, S: notes[i]})
		y -= lineHeight * small
	}
	for i := len(lines) - 1; i >= 0; i-- {
		s.legend(lines[i], y)
		y -= lineHeight * small
	}
	s.body.Bottom = y + descent*small - 0.3*small
}

// legend sets one line of marks and their meaning.
func (s *sheet) legend(line []key, y float64) {
	small, x := s.small(), s.body.Left
	for _, k := range line {
		if k.draw != nil {
			s.back.Shapes = append(s.back.Shapes, k.draw(x, y-0.34*small, small)...)
			x += (k.width + 0.35) * small
		}
		t := s.put(&s.back, Text{X: x, Y: y, Size: small, Ink: InkSoft, S: k.words})
		x += t.Width + 1.3*small
	}
}

func keyWidth(f *Fonts, k key) float64 {
	w := f.Width(k.words, false)
	if k.draw != nil {
		w += k.width + 0.35
	}
	return w
}

func widthOf(f *Fonts, line []key) float64 {
	w := 1.3 * float64(len(line)-1)
	for _, k := range line {
		w += keyWidth(f, k)
	}
	return w
}

// keyLines breaks the legend into lines of so many ems.
func keyLines(f *Fonts, keys []key, room float64) [][]key {
	var lines [][]key
	for _, k := range keys {
		k.words = f.fit(clean(k.words), false, room-k.width-0.35)
		n := len(lines)
		if n > 0 && widthOf(f, append(lines[n-1 : n : n][0], k)) <= room {
			lines[n-1] = append(lines[n-1], k)
			continue
		}
		lines = append(lines, []key{k})
	}
	return lines
}

// briefLine is a legend of one line: of the keys in their order those that fit, in brief.
func briefLine(f *Fonts, keys []key, room float64) [][]key {
	var line []key
	for _, k := range keys {
		if k.brief != "" {
			k.words = k.brief
		}
		k.words = clean(k.words)
		if widthOf(f, append(line[:len(line):len(line)], k)) <= room {
			line = append(line, k)
		}
	}
	return [][]key{line}
}

// put measures a text and adds it to a layer; an empty one is not added.
func (s *sheet) put(l *Layer, t Text) Text {
	t.Width = s.fonts.Width(t.S, t.Bold) * t.Size
	if t.S != "" {
		l.Texts = append(l.Texts, t)
	}
	return t
}

// width is the length of a text in units.
func (s *sheet) width(text string, size float64, bold bool) float64 {
	return s.fonts.Width(text, bold) * size
}

// layer begins a row's layer.
func (s *sheet) layer(r Row) *Layer {
	id := r.ID
	if id == "" {
		id = r.label()
	}
	return &Layer{ID: s.unique("card-" + id), Title: r.label()}
}

// unique keeps the ids of a picture apart as they are written.
func (s *sheet) unique(id string) string {
	written := idOf("", id)
	s.ids[written]++
	if n := s.ids[written]; n > 1 {
		return s.unique(fmt.Sprintf("%s-%d", id, n))
	}
	return id
}

// add puts a row's layer into that of its card, so that an editor can bring in a card with all its modes at once.
func (s *sheet) add(r Row, l Layer) {
	if r.Card == "" {
		s.cards = append(s.cards, l)
		return
	}
	group := "group-" + r.Card
	for i := range s.cards {
		if s.cards[i].ID == group {
			s.cards[i].Layers = append(s.cards[i].Layers, l)
			return
		}
	}
	s.cards = append(s.cards, Layer{ID: group, Title: r.Name, Layers: []Layer{l}})
}

// picture ends the sheet; lines is the description, a line a row.
func (s *sheet) picture(lines []string) Picture {
	s.Desc = strings.Join(lines, "; ")
	s.Layers = append(append([]Layer{s.back}, s.under...), s.cards...)
	return s.Picture
}
