package review

import (
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute/series"
	"github.com/rigslate/rigslate/compute/thermal"
)

// remark is what is said of a soak, once for all probes and channels of which it holds.
type remark struct {
	of   []string // none: of the soak
	says string
}

func (r remark) String() string {
	if len(r.of) == 0 {
		return r.says
	}
	return strings.Join(r.of, ", ") + ": " + r.says
}

// remarked adds what is said of a probe or channel, or of the soak where of is "".
func remarked(rs []remark, of, says string) []remark {
	i := slices.IndexFunc(rs, func(r remark) bool { return r.says == says })
	if i < 0 {
		i, rs = len(rs), append(rs, remark{says: says})
	}
	if of != "" && !slices.Contains(rs[i].of, of) {
		rs[i].of = append(rs[i].of, of)
	}
	return rs
}

func texts(rs []remark) (out []string) {
	for _, r := range rs {
		out = append(out, r.String())
	}
	return out
}

// sort takes notes of a series for doubts or for what is only said.
func (b *soakBench) sort(of string, notes []series.Note) {
	for _, n := range notes {
		b.flags = append(b.flags, Flag{Word: n.Flag, Text: remarked(nil, of, n.Says)[0].String()})
		switch n.Flag {
		case thermal.FlagShortSoak: // is the same for every probe
			b.doubt("%s", n.Says)
		case thermal.FlagDetached, thermal.FlagStuck, thermal.FlagRoomOutside, thermal.FlagRoomDrift, series.FlagGap:
			b.doubts = remarked(b.doubts, of, n.Says)
		default:
			b.notes = remarked(b.notes, of, n.Says)
		}
	}
}
