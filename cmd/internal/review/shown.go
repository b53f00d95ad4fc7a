package review

import (
	"errors"

	"github.com/rigslate/rigslate/plan/discreet"
)

// shown is a review and its error as they may be shown at a time: cards under an embargo go by their codenames in every text, name and path, and
// what stands in private blocks is struck wherever else it stands. Nothing can be read or archived with it any more. A plan with errors is shown
// as it is written, to whoever has to mend it; and what is worked out again is never shown.
func (r *Review) shown(o Options, err error) (*Review, error) {
	if r == nil || o.again != nil || errors.Is(err, ErrPlan) {
		return r, err
	}
	veil := r.discretion().At(o.Now)
	if veil == nil {
		return r, err
	}
	r = discreet.Copy(veil, r)
	r.Veil = veil
	return r, veil.Error(err)
}

// discretion is what the plan withholds, and by which drivers and firmware its cards could be told in the captures.
func (r *Review) discretion() *discreet.Terms {
	t := r.Plan.Discretion()
	if t == nil {
		return nil
	}
	for i := range t.Cards {
		c := &t.Cards[i]
		for _, p := range r.Passes {
			if p.Key.Card == c.Label {
				c.Add("driver", p.Facts.Driver)
			}
		}
	}
	return t
}
