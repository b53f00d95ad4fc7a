package plan

import "slices"

// labelling says which label a block carries.
type labelling uint8

const (
	unlabelled labelling = iota
	named                // a label that becomes a path part
	pathed               // the path of a file
)

// shape is what may stand in a block or an object. Everything else is an error, and these names drive did-you-mean.
type shape struct {
	label     labelling
	needs     []string // arguments or keys that must be there
	may       []string // those that may
	blocks    []string // blocks inside
	onlyOnce  bool     // in the whole plan, or within its parent
	freeNames bool     // names are the reviewer's own
}

// known is every argument of a shape.
func (s shape) known() []string { return slices.Concat(s.needs, s.may) }

// shapes are the blocks by where they stand, and the objects by the argument they are written in.
var shapes = map[string]shape{
	"": {blocks: []string{"review", "let", "rig", "card", "game", "resolution", "matrix", "files", "accept", "void", "vouch",
		"control", "statistics", "claim"}},

	"let":        {freeNames: true},
	"review":     {label: named, needs: []string{"baseline"}, may: []string{"title", "due", "rig", "archive", "bench_day", "takes"}, onlyOnce: true},
	"rig":        {label: named, may: []string{"fixed", "notes"}},
	"card":       {label: named, needs: []string{"vendor"}, may: []string{"name", "driver", "sample", "price", "memory", "body"}, blocks: []string{"mode"}},
	"card/mode":  {label: named, may: []string{"raises", "firmware", "settings"}},
	"resolution": {label: named, needs: []string{"size"}},

	"game": {label: named, needs: []string{"drive", "keep"}, may: []string{"name", "build", "scene", "takes", "capped"},
		blocks: []string{"variant", "accept"}},
	"game/variant": {label: named, may: []string{"group", "settings"}},
	"game/accept":  {may: acceptKeys, onlyOnce: true},

	"matrix":       {may: []string{"cards", "games", "resolutions", "repeats", "launches", "looks"}, blocks: []string{"waive"}},
	"matrix/waive": {needs: []string{"reason"}, may: []string{"cards", "games", "resolutions"}},

	"files":      {label: named, may: []string{"path", "log", "text", "frame_time", "timestamp", "keep_rows", "measured_at", "extra"}},
	"accept":     {may: acceptKeys, onlyOnce: true},
	"void":       {label: pathed, needs: []string{"reason"}},
	"vouch":      {needs: []string{"cell", "reason"}},
	"control":    {needs: []string{"cell"}},
	"statistics": {may: []string{"quantile", "lows", "margin", "margin_k", "margin_db", "session_spread", "session_spread_k", "session_spread_db", "expected_spread"}, onlyOnce: true},
	"claim":      {label: named, needs: []string{"metric", "of", "expect"}, may: []string{"says", "against", "where"}},

	"review takes": {may: []string{"startup", "reset", "first_launch", "swap", "driver_change", "preheat", "redo"}},
	"game takes":   {may: []string{"startup", "reset", "first_launch"}},
	"sample":       {may: []string{"origin", "here_from", "leaves"}},
	"price":        {needs: []string{"amount", "currency", "kind", "tax"}, may: []string{"on"}},
	"memory":       {needs: []string{"rate_gtps", "bus_bits"}},
	"keep":         {needs: []string{"length"}, may: []string{"warmup"}},
	"text":         {may: []string{"delimiter", "decimal", "encoding", "skip_lines", "comment"}},
	"column":       {needs: []string{"column", "unit"}},
	"keep_rows":    {needs: []string{"column", "equals"}},
	"where":        {may: []string{"games", "resolutions", "groups"}},
	"expect":       {may: []string{"percent", "value", "within", "at_least", "at_most", "same", "unit"}},
	"free":         {freeNames: true},
}

var acceptKeys = []string{"min_length", "max_spread", "max_bad_lines"}
