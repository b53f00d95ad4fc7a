package chart

import "strconv"

// Summary is the chart of many games at once: percent against the baseline, which is zero and the broken line, with the interval for these games and
// the wider one for games like these, and how many games a card leads, is level in and trails.
type Summary struct {
	Head
	Unit   string // in words: "frame rate against Tern 7, percent"
	Better Direction
	Mark   string // "mean of 8 games"
	Inner  string // what the bracket is; empty: "95 % interval for these games"
	Outer  string // what the wider line is; empty: "for games like these"
	Rows   []SummaryRow
}

// SummaryRow is one card over all games.
type SummaryRow struct {
	Row
	Percent               Figure // its interval is that for these games
	Wider                 Figure // its interval is that for games like these; absent under three games
	Standing              Standing
	Leads, Levels, Trails int
	Absent                string
}

// Picture lays the chart out.
func (c Summary) Picture(f Format, look Look) Picture {
	r := Rails{Head: c.Head, Unit: c.Unit, Better: c.Better, Decimals: 1, Mark: c.Mark, Interval: c.Inner, Note: "leads · level · trails", Against: "interval",
		signed: true, wider: c.Outer}
	if r.Interval == "" {
		r.Interval = "95 % interval for these games"
	}
	if r.wider == "" {
		r.wider = "for games like these"
	}
	for _, row := range c.Rows {
		rail := Rail{Row: row.Row, Figure: row.Percent, Standing: row.Standing, Absent: row.Absent, signed: true, wider: row.Wider}
		if row.Percent.Known && row.Standing != Base {
			rail.Note = strconv.Itoa(row.Leads) + " · " + strconv.Itoa(row.Levels) + " · " + strconv.Itoa(row.Trails)
			rail.long = row.games()
		}
		r.Rails = append(r.Rails, rail)
	}
	p := r.Picture(f, look)
	p.Desc = c.describe()
	return p
}

// games says in how many games the card leads, is level and trails.
func (r SummaryRow) games() string {
	return "leads " + strconv.Itoa(r.Leads) + ", level " + strconv.Itoa(r.Levels) + ", trails " + strconv.Itoa(r.Trails)
}

func (c Summary) describe() string {
	out := ""
	for _, r := range c.Rows {
		said := clean(r.label()) + ": "
		if !r.Percent.Known {
			said += clean(Rail{Absent: r.Absent}.absent())
		} else {
			said = joinWith(said+signed(r.Percent.X, 1)+" %", " ", bracket(r.Percent, 1))
			if b := bracket(r.Wider, 1); b != "" {
				said += ", games like these " + b
			}
			if w := r.Standing.words(); w != "" {
				said += ", " + w
			}
			if r.Standing != Base {
				said += ", " + r.games()
			}
		}
		out = joinWith(out, "; ", said)
	}
	return out
}
