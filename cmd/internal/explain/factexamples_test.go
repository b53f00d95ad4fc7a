package explain

import (
	"fmt"
	"math"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

// factSightings are the facts of a review's cards and what rests on their prices, each with its arithmetic.
func factSightings(r *review.Review, see func(rank int, word, format string, args ...any)) {
	const card = "heron_x"
	stated := map[string]review.BenchFigure{}
	for _, f := range r.Bench {
		if f.IsFact() && f.Base == (plan.Mode{}) && f.Of.Card == card {
			stated[f.Name] = f
		}
	}
	for _, f := range r.Bench {
		switch {
		case f.Of.Card != card || !f.Value.OK:
		case f.Worth != nil:
			worthSighting(f, see)
		case f.IsFact() && f.Base != (plan.Mode{}) && f.Name == "length_mm":
			of := stated[f.Name].Value.X
			see(sentence, "fact", "length_mm of %s is %g, of %s %g: %g mm more, and length_mm_ratio is %.4g", card, of, f.Base.Card, of-f.Value.X, f.Value.X,
				of/(of-f.Value.X))
		case f.IsFact() && f.Base == (plan.Mode{}) && f.Name == plan.Bandwidth:
			see(sentence, f.Name, "%s, %g GT/s over %g bit: %g × %g / 8 = %g GB/s", card, stated["memory_rate_gtps"].Value.X,
				stated["memory_bus_bits"].Value.X, stated["memory_rate_gtps"].Value.X, stated["memory_bus_bits"].Value.X, f.Value.X)
		case f.IsFact() && f.Base == (plan.Mode{}) && f.Name == "power_stages":
			see(sentence, f.Name, "%s: %s: %g phases make %g stages", card, f.Note, stated["phases"].Value.X, f.Value.X)
		}
	}
}

func worthSighting(f review.BenchFigure, see func(rank int, word, format string, args ...any)) {
	p := f.Worth.Price
	at := fmt.Sprintf("%s at %s, %s price", f.Of, f.Worth.Resolution, p.Kind)
	switch {
	case f.Name == "price" && f.Base != (plan.Mode{}):
		see(sentence, f.Name, "%s, %s: %s %s, that is %s %s from %s", f.Of.Card, p.Kind, screen.Number(p.Amount, 2), p.Currency, screen.Signed(f.Value.X, 2), f.Unit,
			f.Base.Card)
	case f.Worth.Resolution != shown.Resolution || f.Of.Mode != shown.Mode:
	case f.Name == compute.PricePerFPS.Name && f.Base == (plan.Mode{}):
		see(sentence, f.Name, "%s: %s %s / %.2f fps, the geometric mean over %s, = %.2f %s [%.2f, %.2f]", at, screen.Number(p.Amount, 2), p.Currency,
			p.Amount/f.Value.X, screen.Count(f.Worth.Games, "game", "games"), f.Value.X, f.Unit, f.Worth.Low.X, f.Worth.High.X)
	case f.Name == "break_even_price":
		see(sentence, f.Name, "%s: %s %s of %s × %.4f = %.0f %s [%.0f, %.0f]", at, screen.Number(p.Amount, 2), p.Currency, f.Base.Card, f.Value.X/p.Amount,
			f.Value.X, f.Unit, f.Worth.Low.X, f.Worth.High.X)
	}
}

// uncertaintySightings lay open an uncertainty whose degrees of freedom are finite, which shows most.
func uncertaintySightings(r *review.Review, see func(rank int, word, format string, args ...any)) {
	for _, f := range r.Bench {
		u := f.U
		if !u.Expanded.OK || math.IsInf(u.DF, 1) || u.DF > 1000 {
			continue
		}
		at := fmt.Sprintf("%s in %s, %s of %.2f %s", f.Of, f.Protocol, strings.ReplaceAll(f.Name, "_", " "), f.Value.X, f.Unit)
		unit := f.Unit
		if unit == "°C" {
			unit = "K"
		}
		see(sentence, "standard_uncertainty", "%s: %s", at, inWords(u, unit))
		see(sentence, "expanded_uncertainty", "%s: t(0.975; %.1f) = %.3f, times u = %.3f is U = %.2f %s", at, u.DF, u.Factor.X, u.Standard.X, u.Expanded.X, unit)
		see(sentence, "effective_df", "%s: u = %.3f, ν = %.1f, so that U is %.3f times u", at, u.Standard.X, u.DF, u.Factor.X)
	}
}
