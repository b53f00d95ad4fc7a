package chart

// oneName is a row's name on a line of so many ems: name and mode where they fit, else the mode only where it tells rows apart. Of a shortened name the
// given share stands before its gap.
func (f *Fonts) oneName(r Row, tells, bold bool, ems, share float64) string {
	name, mode := clean(r.Name), clean(r.Mode)
	switch {
	case mode == "" || !tells && f.Width(name+" · "+mode, bold) > ems:
		return f.shorten(name, bold, ems, share)
	case f.Width(name+" · "+mode, bold) <= ems:
		return name + " · " + mode
	}
	mode = f.fit(mode, bold, 0.45*ems)
	return f.shorten(name, bold, ems-f.Width(" · "+mode, bold), share) + " · " + mode
}

// shares are where a shortened name may have its gap: names of cards differ at their ends, mostly.
var shares = []float64{0.5, 0.7, 1, 0.3}

// namesOf are the names of rows on lines of so many ems, the gap of shortened ones where fewest of them become the same.
func (f *Fonts) namesOf(rows []Row, bold bool, ems float64) (best []string) {
	count := map[string]int{}
	for _, r := range rows {
		count[r.Name]++
	}
	most := 0
	for _, share := range shares {
		var names []string
		seen := map[string]bool{}
		for _, r := range rows {
			name := f.oneName(r, count[r.Name] > 1, bold, ems, share)
			names, seen[name] = append(names, name), true
		}
		if len(seen) > most {
			most, best = len(seen), names
		}
	}
	return best
}
