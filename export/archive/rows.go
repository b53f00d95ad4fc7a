package archive

// The rows of the tables. Field order is column order; a pointer is an OPTIONAL column, nil is null; int32 is INT32, int64
// INT64, float64 DOUBLE, bool BOOLEAN, string UTF8; timestamp(microsecond) is a TIMESTAMP in UTC, microseconds since 1970.
// Within a format version columns are appended, never renamed or retyped.

// RunRow is one pass.
type RunRow struct {
	RunID             string   `parquet:"run_id"` // first 16 hex digits of the raw file's SHA-256
	Card              string   `parquet:"card"`
	Mode              string   `parquet:"mode"`
	Game              string   `parquet:"game"`
	Variant           string   `parquet:"variant"`
	Resolution        string   `parquet:"resolution"`
	Width             *int32   `parquet:"width"`
	Height            *int32   `parquet:"height"`
	Repeat            int32    `parquet:"repeat"`
	Launch            *string  `parquet:"launch"`
	Session           *string  `parquet:"session"`
	SourcePath        string   `parquet:"source_path"` // relative to the captures' folder, forward slashes
	SourceSHA256      string   `parquet:"source_sha256"`
	SourceBytes       int64    `parquet:"source_bytes"`
	StartedAt         *int64   `parquet:"started_at,timestamp(microsecond)"` // as recorded, never the file's own time
	Rig               *string  `parquet:"rig"`
	Driver            *string  `parquet:"driver"`
	Firmware          *string  `parquet:"firmware"`
	Sample            *string  `parquet:"sample"`
	Build             *string  `parquet:"build"`
	Preset            *string  `parquet:"preset"`
	API               *string  `parquet:"api"`
	Scene             *string  `parquet:"scene"`
	Drive             *string  `parquet:"drive"`
	WarmupS           *float64 `parquet:"warmup_s"`
	LengthS           *float64 `parquet:"length_s"`
	MeasuredAt        *string  `parquet:"measured_at"` // submit, present or display
	Outcome           *string  `parquet:"outcome"`
	Status            string   `parquet:"status"` // used, void or superseded
	VoidReason        *string  `parquet:"void_reason"`
	FramesEdition     *string  `parquet:"frames_edition"` // where the frames are, if not in this edition
	AmbientC          *float64 `parquet:"ambient_c"`
	StartTempC        *float64 `parquet:"start_temp_c"`
	MeanPowerW        *float64 `parquet:"mean_power_w"`
	Frames            *int32   `parquet:"frames"` // kept
	FramesCut         *int32   `parquet:"frames_cut"`
	BadLines          *int32   `parquet:"bad_lines"`
	DurationS         *float64 `parquet:"duration_s"`
	MeanFPS           *float64 `parquet:"mean_fps"`
	FrameMSMean       *float64 `parquet:"frame_ms_mean"`
	FrameMSSD         *float64 `parquet:"frame_ms_sd"`
	FrameMSP50        *float64 `parquet:"frame_ms_p50"`
	FrameMSP95        *float64 `parquet:"frame_ms_p95"`
	FrameMSP99        *float64 `parquet:"frame_ms_p99"`
	FrameMSP999       *float64 `parquet:"frame_ms_p999"`
	FrameMSMax        *float64 `parquet:"frame_ms_max"`
	Low1QuantileFPS   *float64 `parquet:"low1_quantile_fps"`
	Low1TailMeanFPS   *float64 `parquet:"low1_tail_mean_fps"`
	Low1TimeShareFPS  *float64 `parquet:"low1_time_share_fps"`
	Low01QuantileFPS  *float64 `parquet:"low01_quantile_fps"`
	Low01TailMeanFPS  *float64 `parquet:"low01_tail_mean_fps"`
	Low01TimeShareFPS *float64 `parquet:"low01_time_share_fps"`
	RMSSDMS           *float64 `parquet:"rmssd_ms"`
	Lag1              *float64 `parquet:"lag1"`
	Over60HzShare     *float64 `parquet:"over_60hz_share"`
	Over120HzShare    *float64 `parquet:"over_120hz_share"`
	HitchFrames       *int32   `parquet:"hitch_frames"`
	HitchEvents       *int32   `parquet:"hitch_events"`
	HitchTimeShare    *float64 `parquet:"hitch_time_share"`
	DriftPct          *float64 `parquet:"drift_pct"`
	DisturbedFromS    *float64 `parquet:"disturbed_from_s"`
	DisturbedToS      *float64 `parquet:"disturbed_to_s"`
	Flags             *string  `parquet:"flags"`             // words separated by blanks
	PowerMeasuredAt   *string  `parquet:"power_measured_at"` // reported chip, reported board, in line or wall: of mean_power_w and what rests on it
	SensedFromNS      *int64   `parquet:"sensed_from_ns"`    // this and the next: the kept time on the clock of time_ns in sensors
	SensedToNS        *int64   `parquet:"sensed_to_ns"`

	// Further are the figures of the registry without a field above, by name: a column each, OPTIONAL DOUBLE. No field is to be added
	// for a figure.
	Further map[string]float64 `parquet:"-"`
}

// CellRow is one planned cell in one metric; a cell without a pass has n = 0.
type CellRow struct {
	Card       string   `parquet:"card"`
	Mode       string   `parquet:"mode"`
	Game       string   `parquet:"game"`
	Variant    string   `parquet:"variant"`
	Resolution string   `parquet:"resolution"`
	Metric     string   `parquet:"metric"` // a column of runs
	Unit       string   `parquet:"unit"`
	Scale      string   `parquet:"scale"` // ratio, difference or count
	N          int32    `parquet:"n"`
	Launches   int32    `parquet:"launches"`
	Sessions   int32    `parquet:"sessions"`
	Mean       *float64 `parquet:"mean"`
	SD         *float64 `parquet:"sd"` // in percent on the ratio scale
	CILow      *float64 `parquet:"ci_low"`
	CIHigh     *float64 `parquet:"ci_high"`
	OwnCILow   *float64 `parquet:"own_ci_low"`
	OwnCIHigh  *float64 `parquet:"own_ci_high"`
	DF         *float64 `parquet:"df"`
	Method     *string  `parquet:"method"`
	SpreadPct  *float64 `parquet:"spread_pct"`
	State      string   `parquet:"state"`
	Flags      *string  `parquet:"flags"`
}

// ComparisonRow is one cell against the baseline's, or against another's that a claim names, in one metric.
type ComparisonRow struct {
	Game          string   `parquet:"game"`
	Variant       string   `parquet:"variant"`
	Resolution    string   `parquet:"resolution"`
	Metric        string   `parquet:"metric"`
	Unit          string   `parquet:"unit"`
	Card          string   `parquet:"card"`
	Mode          string   `parquet:"mode"`
	BaseCard      string   `parquet:"base_card"`
	BaseMode      string   `parquet:"base_mode"`
	N             int32    `parquet:"n"`
	BaseN         int32    `parquet:"base_n"`
	Difference    *float64 `parquet:"difference"` // mean − base mean, in the unit
	Ratio         *float64 `parquet:"ratio"`
	Percent       *float64 `parquet:"percent"`
	CILow         *float64 `parquet:"ci_low"` // this and the next three: in percent for ratios, in the unit otherwise
	CIHigh        *float64 `parquet:"ci_high"`
	OwnCILow      *float64 `parquet:"own_ci_low"`
	OwnCIHigh     *float64 `parquet:"own_ci_high"`
	DF            *float64 `parquet:"df"`
	P             *float64 `parquet:"p"`
	SessionSpread *float64 `parquet:"session_spread"`
	SessionSource *string  `parquet:"session_source"`
	Verdict       *string  `parquet:"verdict"`
	Firm          *bool    `parquet:"firm"`
	RepeatsNeeded *int32   `parquet:"repeats_needed"`
	Flags         *string  `parquet:"flags"`
	Looks         *int32   `parquet:"looks"` // declared looks that the error is split over: intervals are at 1 − 0.05/looks, p is times looks
}

// SummaryRow is a card and mode against the baseline over the games of a group, at one resolution, in one metric.
type SummaryRow struct {
	Group         string   `parquet:"group"` // all, or a group of the plan
	Resolution    string   `parquet:"resolution"`
	Metric        string   `parquet:"metric"`
	Card          string   `parquet:"card"`
	Mode          string   `parquet:"mode"`
	BaseCard      string   `parquet:"base_card"`
	BaseMode      string   `parquet:"base_mode"`
	Games         int32    `parquet:"games"`    // that enter
	LeftOut       int32    `parquet:"left_out"` // cells that do not
	Ratio         *float64 `parquet:"ratio"`    // geometric mean
	Percent       *float64 `parquet:"percent"`
	TheseLow      *float64 `parquet:"these_low"` // this and the next three: in percent for ratios, in the unit otherwise
	TheseHigh     *float64 `parquet:"these_high"`
	LikeLow       *float64 `parquet:"like_low"`
	LikeHigh      *float64 `parquet:"like_high"`
	Verdict       *string  `parquet:"verdict"`
	Leads         int32    `parquet:"leads"` // games
	Levels        int32    `parquet:"levels"`
	Trails        int32    `parquet:"trails"`
	Unit          string   `parquet:"unit"`
	Difference    *float64 `parquet:"difference"` // in the unit, where the metric has no ratio
	DF            *float64 `parquet:"df"`
	P             *float64 `parquet:"p"`
	SessionSpread *float64 `parquet:"session_spread"`
	SessionSource *string  `parquet:"session_source"`
	MostGame      *string  `parquet:"most_game"` // the largest difference, and its game
	Most          *float64 `parquet:"most"`
	LeastGame     *string  `parquet:"least_game"`
	Least         *float64 `parquet:"least"`
	Flags         *string  `parquet:"flags"`
}

// ClaimRow is a claim of the plan beside its data. The p values are adjusted over the plan's claims.
type ClaimRow struct {
	Claim         string   `parquet:"claim"`
	Says          string   `parquet:"says"`
	Metric        string   `parquet:"metric"`
	Unit          string   `parquet:"unit"`     // of the estimate: % for a difference in percent
	Estimate      *float64 `parquet:"estimate"` // this and the next two in that unit
	CILow         *float64 `parquet:"ci_low"`
	CIHigh        *float64 `parquet:"ci_high"`
	PFor          *float64 `parquet:"p_for"`
	PSign         *float64 `parquet:"p_sign"`
	PAgainst      *float64 `parquet:"p_against"`
	Verdict       string   `parquet:"verdict"` // contradicted, supported, fits, open or no data
	Leaning       *string  `parquet:"leaning"` // for or against, of an open one
	RepeatsNeeded *int32   `parquet:"repeats_needed"`
	Card          string   `parquet:"card"`
	Mode          string   `parquet:"mode"`
	BaseCard      *string  `parquet:"base_card"` // null for a figure that stands alone
	BaseMode      *string  `parquet:"base_mode"`
	Cells         int32    `parquet:"cells"` // that enter
	Games         int32    `parquet:"games"`
	DF            *float64 `parquet:"df"`
	SessionSpread *float64 `parquet:"session_spread"`
	SessionSource *string  `parquet:"session_source"`
	Why           *string  `parquet:"why"`  // it cannot be judged
	Said          *string  `parquet:"said"` // the strongest sentence that the data carry
	Flags         *string  `parquet:"flags"`
}

// ReadingRow is a figure of the bench: of a soak, of a step of a fan sweep, of a card's price or build, or what one of these differs
// by from another card's. A figure that the plan asks for and that cannot be had is there without value and text, and says why.
type ReadingRow struct {
	Card           string   `parquet:"card"`
	Mode           *string  `parquet:"mode"`     // null for what is the card's whatever its mode
	Protocol       *string  `parquet:"protocol"` // the soak or sweep; null for what needs none
	Sensor         *string  `parquet:"sensor"`   // a probe or channel; of a group the one that decides
	Figure         string   `parquet:"figure"`
	Value          *float64 `parquet:"value"`
	Unit           string   `parquet:"unit"`            // of the value; of a difference of temperatures K; "" for a bare number and a word
	Uncertainty    *float64 `parquet:"uncertainty"`     // standard, in the unit
	Expanded       *float64 `parquet:"expanded"`        // U = coverage_factor · uncertainty
	CoverageFactor *float64 `parquet:"coverage_factor"` // for 95 %
	DF             *float64 `parquet:"df"`              // effective degrees of freedom, not rounded; null beside a coverage_factor: infinitely many
	AmbientC       *float64 `parquet:"ambient_c"`
	Flags          *string  `parquet:"flags"`
	Repeat         *int32   `parquet:"repeat"` // which soak of the protocol, from 1; null for a figure of all of them
	N              *int32   `parquet:"n"`      // soaks, readings or frames that entered
	ProbeGroup     *string  `parquet:"probe_group"`
	MeasuredAt     *string  `parquet:"measured_at"` // where power was measured: reported chip, reported board, in line or wall
	FanPct         *float64 `parquet:"fan_pct"`     // the step of a sweep
	Text           *string  `parquet:"text"`        // of what is a word and no number
	BaseCard       *string  `parquet:"base_card"`   // of a difference or ratio: against what; null for a figure that stands alone
	BaseMode       *string  `parquet:"base_mode"`
	P              *float64 `parquet:"p"`
	Verdict        *string  `parquet:"verdict"`
	Source         *string  `parquet:"source"` // run_id of the log in sensors, or the plan's readings, or the block that states it
	Note           *string  `parquet:"note"`   // the plan's own words
	Why            *string  `parquet:"why"`    // there is no value, or no uncertainty
	CILow          *float64 `parquet:"ci_low"` // of a difference or a figure of value, in its unit
	CIHigh         *float64 `parquet:"ci_high"`
	Price          *float64 `parquet:"price"` // this and the next five: the price that a figure of value rests on
	PriceCurrency  *string  `parquet:"price_currency"`
	PriceKind      *string  `parquet:"price_kind"` // list, street or another word of the plan
	PriceTax       *bool    `parquet:"price_tax"`
	PricePlace     *string  `parquet:"price_place"`
	PriceOn        *string  `parquet:"price_on"`       // a date
	Resolution     *string  `parquet:"resolution"`     // of a figure with frame rates; null for all of them
	Games          *int32   `parquet:"games"`          // that enter
	LeftOut        *int32   `parquet:"left_out"`       // cells that do not
	SensedFromNS   *int64   `parquet:"sensed_from_ns"` // this and the next: the stretch on the clock of time_ns in sensors that the figure is of;
	SensedToNS     *int64   `parquet:"sensed_to_ns"`   // null for the whole log, and for what no log says
}

// Tables are the tables of an edition or a draft.
type Tables struct {
	Runs        []RunRow
	Cells       []CellRow
	Comparisons []ComparisonRow
	Summaries   []SummaryRow
	Claims      []ClaimRow
	Readings    []ReadingRow
}
