package ledger

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"
)

// Several ledgers, each used by several goroutines, race for the same captures; all must agree on one record.
func TestRacingLedgers(t *testing.T) {
	for _, links := range []bool{true, false} {
		t.Run(fmt.Sprintf("links=%v", links), func(t *testing.T) {
			if !links {
				link = func(string, string) error { return errors.ErrUnsupported }
				defer func() { link = os.Link }()
			}
			race(t, t.TempDir())
		})
	}
}

func race(t *testing.T, dir string) {
	const writers, each, captures = 4, 3, 8
	var wg sync.WaitGroup
	var mu sync.Mutex
	told := map[string]map[string]bool{} // capture → the drivers that its writers were told are on record
	for w := range writers {
		l := open(t, dir)
		for g := range each {
			wg.Go(func() {
				for c := range captures {
					sha := fmt.Sprintf("%064x", c)
					now := Facts{Driver: fmt.Sprintf("driver %d", w)}
					if g == 1 {
						now = Facts{Session: fmt.Sprintf("session %d", w)}
					}
					e, _, err := l.See(sha, seen, now, true)
					if err != nil {
						t.Errorf("writer %d: %v", w, err)
						continue
					}
					mu.Lock()
					if told[sha] == nil {
						told[sha] = map[string]bool{}
					}
					if e.Driver != "" {
						told[sha][e.Driver] = true
					}
					mu.Unlock()
				}
			})
		}
	}
	wg.Wait()
	for c := range captures {
		sha := fmt.Sprintf("%064x", c)
		first, _ := see(t, open(t, dir), sha, seen, Facts{}, false)
		if first.Driver == "" || first.Session == "" || !first.Recorded {
			t.Errorf("capture %d: %+v", c, first)
		}
		if len(told[sha]) != 1 || !told[sha][first.Driver] {
			t.Errorf("capture %d: writers were told %v, on record is %s", c, told[sha], first.Driver)
		}
	}
	for _, name := range names(t, dir) {
		if strings.HasSuffix(name, ".tmp") {
			t.Errorf("%s was left behind", name)
		}
	}
}
