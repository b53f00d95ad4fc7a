package changes

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/rigslate/rigslate/plan/discreet"
)

// ErrUnlike is two editions that are not of one review.
var ErrUnlike = errors.New("they are not of one review")

// Pair is two editions of one review, as they may be shown.
type Pair struct {
	was, is Edition

	Terms *discreet.Terms // what is withheld of both
	Veil  *discreet.Veil
}

// Between sets an edition against another of its review. What one of the two plans withholds at the time now is withheld of both: of
// cards what the plan published last says, of private texts what either does. Editions of two reviews are ErrUnlike; the
// veil is there all the same.
func Between(was, is Edition, now time.Time) (p Pair, err error) {
	p.Terms = withheld(was, is)
	p.Veil = p.Terms.At(now)
	if was.Review != is.Review {
		return p, fmt.Errorf("%w: edition %s is of %s, edition %s of %s. Name two editions of one review; history looks across reviews", ErrUnlike,
			was.Edition.Edition, was.Review, is.Edition.Edition, is.Review)
	}
	was.lend(is)
	is.lend(was)
	p.was, p.is = was.discreet(p, now), is.discreet(p, now)
	return p, nil
}

// withheld are the terms for both editions.
func withheld(was, is Edition) *discreet.Terms {
	last, first := is.Source.Words.Discretion, was.Source.Words.Discretion
	if was.Published.After(is.Published) {
		last, first = first, last
	}
	if last == nil || first == nil {
		if last == nil {
			return first
		}
		return last
	}
	both := *last
	both.Private = slices.Concat(last.Private, first.Private)
	return &both
}

// discreet is the edition as it may be shown.
func (e Edition) discreet(p Pair, now time.Time) Edition {
	e.Source.Words.Discretion, e.Source.Now = p.Terms, now
	e.Source = e.Source.Discreet()
	e.plan, e.files = discreet.Copy(p.Veil, e.plan), discreet.Copy(p.Veil, e.files)
	return e
}
