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
		"control", "reuse", "soak", "sweep", "reading", "statistics", "claim", "look"}},

	"let":        {freeNames: true},
	"review":     {label: named, needs: []string{"baseline"}, may: []string{"title", "licence", "due", "embargo", "rig", "archive", "bench_day", "takes"}, blocks: []string{"private"}, onlyOnce: true},
	"rig":        {label: named, may: []string{"fixed", "notes"}, blocks: []string{"private"}},
	"card":       {label: named, needs: []string{"vendor"}, may: []string{"name", "codename", "known_as", "embargo", "driver", "sample", "price", "memory", "body", "parts_g", "connectors", "phases"}, blocks: []string{"mode", "private"}},
	"card/mode":  {label: named, may: []string{"raises", "limit", "firmware", "settings"}},
	"resolution": {label: named, needs: []string{"size"}},

	"review/private": {freeNames: true, onlyOnce: true},
	"rig/private":    {freeNames: true, onlyOnce: true},
	"card/private":   {freeNames: true, onlyOnce: true},

	"game": {label: named, needs: []string{"drive", "keep"}, may: []string{"name", "build", "scene", "takes", "capped"},
		blocks: []string{"variant", "accept"}},
	"game/variant": {label: named, may: []string{"group", "settings"}},
	"game/accept":  {may: acceptKeys, onlyOnce: true},

	"matrix":       {may: []string{"cards", "games", "resolutions", "repeats", "launches", "looks"}, blocks: []string{"waive"}},
	"matrix/waive": {needs: []string{"reason"}, may: []string{"cards", "games", "resolutions"}},

	"files": {label: named, may: []string{"path", "log", "text", "frame_time", "timestamp", "keep_rows", "measured_at", "extra"},
		blocks: []string{"sensors"}},
	"files/sensors": {needs: []string{"path", "time", "channels"}, may: []string{"text", "offset"}},

	"accept":     {may: acceptKeys, onlyOnce: true},
	"void":       {label: pathed, needs: []string{"reason"}},
	"vouch":      {needs: []string{"cell", "reason"}},
	"control":    {needs: []string{"cell"}},
	"reuse":      {label: named, needs: []string{"review", "cards", "max_age"}, may: []string{"edition", "despite"}},
	"statistics": {may: []string{"quantile", "lows", "margin", "margin_k", "margin_db", "session_spread", "session_spread_k", "session_spread_db", "expected_spread"}, onlyOnce: true},
	"look":       {may: []string{"fonts", "accent", "footer", "size"}, onlyOnce: true},
	"claim": {label: named, needs: []string{"of", "expect"},
		may: []string{"says", "metric", "fact", "against", "where", "soak", "probe", "group", "at", "channel", "price"}},

	"soak": {label: named, needs: []string{"length"}, may: []string{"game", "resolution", "load", "cap_fps", "note", "cards", "settle", "lead_in", "cooling",
		"repeats", "ambient", "logger", "noise", "repeatability"}, blocks: []string{"probe", "log", "frames"}},
	"soak/probe":  {label: named, may: []string{"on_die", "thermocouple", "cards"}},
	"soak/log":    {needs: []string{"time", "channels"}, may: []string{"path", "text", "offset", "except", "cards"}},
	"soak/frames": {may: []string{"path", "text", "offset", "except", "cards", "frame_time", "timestamp", "keep_rows", "measured_at"}, onlyOnce: true},
	"sweep":       {label: named, needs: []string{"soak", "steps_pct", "hold"}, may: []string{"cards"}},
	"reading": {label: named, needs: []string{"card"}, may: slices.Concat([]string{"soak", "sweep", "repeat", "table", "probe", "at", "on", "note", "file"},
		notedKeys, []string{"percent"})},

	"review takes": {may: []string{"startup", "reset", "first_launch", "swap", "driver_change", "preheat", "probes", "redo"}},
	"game takes":   {may: []string{"startup", "reset", "first_launch"}},
	"sample":       {may: []string{"origin", "here_from", "leaves"}},
	"price":        {needs: []string{"amount", "currency", "kind", "tax"}, may: []string{"place", "on"}},
	"claim price":  {needs: []string{"kind"}, may: []string{"currency", "place", "tax"}},
	"phases":       {needs: []string{"feeds", "count"}, may: []string{"stages_each"}},
	"ambient":      {needs: []string{"target_c"}, may: []string{"tolerance_c", "reference_c", "accuracy_c", "from"}},
	"logger":       {may: []string{"name", "accuracy_c", "resolution_c", "mount_c"}},
	"noise": {needs: []string{"distance_m", "weighting", "meter_class"},
		may: []string{"background_db", "free_field", "reference_m", "target_db", "tolerance_db"}},
	"repeatability": {may: []string{"temperature_k", "noise_db", "power", "fan", "clock", "energy"}},
	"thermocouple":  {needs: []string{"type", "place"}, may: []string{"class", "group", "per_card"}},
	"clock":         {needs: []string{"column"}, may: []string{"unit", "layout"}},
	"channel":       {needs: []string{"column"}, may: []string{"unit", "at", "cold_junction"}},
	"except":        {needs: []string{"card"}, may: []string{"repeat", "path", "offset"}},
	"step":          {needs: []string{"percent"}, may: notedKeys},
	"memory":        {needs: []string{"rate_gtps", "bus_bits"}},
	"keep":          {needs: []string{"length"}, may: []string{"warmup"}},
	"text":          {may: []string{"delimiter", "decimal", "encoding", "skip_lines", "comment"}},
	"column":        {needs: []string{"column", "unit"}},
	"extra":         {needs: []string{"column", "unit"}, may: []string{"at"}},
	"keep_rows":     {needs: []string{"column", "equals"}},
	"where":         {may: []string{"games", "resolutions", "groups"}},
	"expect":        {may: []string{"percent", "value", "within", "at_least", "at_most", "same", "unit"}},
	"free":          {freeNames: true},
}

// notedKeys are the values that a row of a sweep's table and a reading share.
var notedKeys = []string{"temperature_c", "db", "power_w", "rpm", "clock_mhz", "fan_start_c", "fan_stop_c", "ambient_c", "background_db"}

var acceptKeys = []string{"min_length", "max_spread", "max_bad_lines"}
