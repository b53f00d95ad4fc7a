package screen

// Cautions stand on every sheet that asks for probes, soaks or raised limits, and in the README, in these words.
var Cautions = []string{
	"Heatsinks, power stages and backplates stay hot after load: switch off at the mains and wait before touching them, mounting probes or swapping cards.",
	"Bare thermocouple junctions conduct: insulate them from live parts.",
	"Keep fingers and leads out of fans.",
	"Raised limits and removed coolers can void a warranty and damage hardware.",
	"Sustained noise above 85 dB(A) needs hearing protection.",
	"Follow the maker's instructions and local electrical rules; leave mains-side work to a qualified person.",
}
