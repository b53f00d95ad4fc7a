package thermal

import (
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan/glossary"
)

// What must be known of a soak's temperatures.
const (
	FlagShortSoak   compute.Flag = "short_soak"
	FlagDetached    compute.Flag = "detached"
	FlagStuck       compute.Flag = "stuck"
	FlagRoomOutside compute.Flag = "room_outside"
	FlagRoomDrift   compute.Flag = "room_drift"
)

const pageSix = "definitions, section 6"

// Entries is what `explain` says of this package's figures, states and flags.
func Entries() []glossary.Entry { return slices.Concat(figureEntries(), wordEntries()) }

func figureEntries() []glossary.Entry {
	number := func(name, title, unit, better, means, say, formula string, parameters []string, also ...string) glossary.Entry {
		return glossary.Entry{Name: name, Title: title, Also: also, Group: glossary.Bench, Unit: unit, Better: better, Means: means, Say: say,
			Formula: formula, Averaged: "mean over repeated soaks; cards are compared in kelvin", Source: pageSix, Parameters: parameters}
	}
	log, room := []string{"channels"}, []string{"ambient"}
	return []glossary.Entry{
		number("peak_c", "peak temperature", "°C", "lower",
			"The highest reading of a probe under load. One odd reading makes it, so the sustained one stands beside it.",
			"The sustained one.", "max Tᵢ under load; the highest of many samples leans to the high side, so it has no uncertainty", log, "peak"),
		number("sustained_peak_c", "sustained peak", "°C", "lower",
			"The highest temperature that lasted ten seconds.",
			`"up to 71 degrees", with the room.`, "max of the time-weighted mean over [t − 10 s, t] without a gap, t the time of a sample", log),
		number("end_c", "end-of-soak temperature", "°C", "lower",
			"How warm the probe was at the end of the soak, over its last minutes.",
			`"63 degrees after half an hour in a room of 21".`, "time-weighted mean over the last settle of the load", []string{"settle"}, "end of soak"),
		number("final_c", "final temperature", "°C", "lower",
			"Where the temperature is heading if the load goes on. It is told only where a heating curve describes the log down to its noise.",
			"It serves to say whether the soak was long enough. Speak of the end-of-soak temperature.",
			"T∞ of T(t) = T∞ + Σ Aₖ·e^(−t/τₖ), one or two terms by least squares and BIC; only if the residuals' r₁ < 0.3, u(T∞) < 1 K and the "+
				"soak lasts more than twice the slowest τ", log, "forecast", "heating model"),
		number("time_constant_s", "time constant", "s", "neither",
			"How slowly the card warms. After each time constant, 63 % of what was left is done. Large heatsinks are slow.",
			"Nothing, but it tells how long a soak must be: five of them leave less than a hundredth.",
			"the slowest τ of the heating model, under the same conditions", log, "tau"),
		number("ambient_c", "room temperature", "°C", "neither",
			"How warm the room was at the end of the soak.", "With every temperature.",
			"time-weighted mean of the last 10 min of the room's log up to the end of the load, else the reading in the plan", room, "ambient"),
		number("rise_k", "rise over ambient", "K", "lower",
			"How much warmer than the room the probe was at the end of the soak. It compares soaks made in rooms that differ.",
			`"42 degrees above the room".`, "end-of-soak temperature − room temperature; u² = u²(temperature) + (limit of the room's thermometer/√3)²", room, "rise over the room"),
		number("normalised_c", "normalised temperature", "°C", "lower",
			"The end-of-soak temperature as it would be in the reference room. All is taken to rise with the room. The fan may in truth turn otherwise there.",
			`"63 degrees, worked out for a room of 21".`,
			"end-of-soak temperature + reference − room; only within ±3 K; uncertain as the rise is", room),
	}
}

func wordEntries() []glossary.Entry {
	return []glossary.Entry{
		{Name: string(Settled), Group: glossary.Flag, Unit: "a probe in a soak",
			Means:   "The temperature has come to its end. What is left to the forecast final one, with its uncertainty, is at most half a kelvin.",
			Say:     `"It settles at 63 degrees", with the room it was measured in.`,
			Formula: "|T∞ − T| + t(0.95; n − p)·u(T∞) ≤ 0.5 K, T the mean at the end of the soak, T∞ from a heating curve that is a forecast",
			Source:  pageSix, Parameters: []string{"settle", "length"}},
		{Name: string(Steady), Group: glossary.Flag, Unit: "a probe in a soak",
			Means:   "The temperature has stopped moving, though no curve says where it heads. Five minutes are as warm as the five before.",
			Say:     `"After half an hour it holds 63 degrees". Not that it never gets warmer.`,
			Formula: "no forecast; the mean of the last 5 min differs from that of the 5 min before by at most 0.3 K; needs 10 min of load",
			Source:  pageSix, Parameters: []string{"length"}},
		{Name: string(NotSettled), Group: glossary.Flag, Unit: "a probe in a soak",
			Means:   "The temperature was still moving at the end, or it is too early to tell. A soak that is too short tells nothing.",
			Say:     `"63 degrees after five minutes": the time is part of the sentence. A longer soak settles it.`,
			Formula: "neither settled nor steady", Source: pageSix, Parameters: []string{"settle", "length"}},
		{Name: string(FlagShortSoak), Group: glossary.Flag, Unit: "a soak",
			Means:   "The load was shorter than the protocol has it. A card that was not given its time looks cooler than it is.",
			Say:     "The temperature with the time it was reached in; nothing against a card that soaked for longer.",
			Formula: "the load lasts less than 99 % of length", Source: pageSix, Parameters: []string{"length"}},
		{Name: string(FlagDetached), Group: glossary.Flag, Unit: "a probe in a soak",
			Means:   "The probe is colder than the room while the card is under load. It has come off, or the channel is another one.",
			Say:     "Nothing. Let the card cool at the mains, mount the probe again and repeat the soak.",
			Formula: "the mean of a whole minute, past the first two of the load, is below the room's", Source: pageSix},
		{Name: string(FlagStuck), Group: glossary.Flag, Unit: "a sensor in a log",
			Means:   "The sensor shows one value while the power moves. It no longer measures, or its reader repeats itself.",
			Say:     "Nothing that rests on this sensor.",
			Formula: "one value for at least 2 min without a gap, in which the mean power of a minute moves by more than 20 % of its highest",
			Source:  pageSix},
		{Name: string(FlagRoomOutside), Group: glossary.Flag, Unit: "a soak",
			Means:   "The room was warmer or colder than the protocol allows.",
			Say:     "The rise over the room, which allows for it; not the temperature as it stands.",
			Formula: "|mean of a tenth of the load − target| > tolerance", Source: pageSix, Parameters: []string{"ambient"}},
		{Name: string(FlagRoomDrift), Group: glossary.Flag, Unit: "a soak",
			Means: "The room warmed or cooled during the soak, often by the card itself. The temperature followed it.",
			Say:   "The rise over the room. The temperature alone says as much of the room as of the card.",
			Formula: "Theil–Sen slope of the means of ten tenths of the load, times ten, is beyond the tolerance (1 K where none is declared), " +
				"with Mann–Kendall p < 0.05", Source: pageSix, Parameters: []string{"ambient"}},
	}
}
