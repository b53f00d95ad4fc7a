package archive

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// killVariable makes this test's program a publisher that kills itself before a step: "3 /path/of/archive".
const killVariable = "RIGSLATE_TEST_KILL"

// TestPublisherThatIsKilled is no test but that publisher.
func TestPublisherThatIsKilled(t *testing.T) {
	at, dir, ok := strings.Cut(os.Getenv(killVariable), " ")
	if !ok {
		t.Skip("it is run by TestKillSweep")
	}
	stop, err := strconv.Atoi(at)
	if err != nil {
		t.Fatal(err)
	}
	self, err := os.FindProcess(os.Getpid())
	if err != nil {
		t.Fatal(err)
	}
	a := opened(t, dir)
	n := 0
	a.fault = func(string) error {
		if n++; n == stop {
			if err := self.Kill(); err != nil {
				return err
			}
			select {} // no step is taken any more
		}
		return nil
	}
	if _, err := publish(t, a); err != nil {
		t.Fatal(err)
	}
}

// A publisher that is killed, as kill -9 or the end of a battery does it, at each step in turn: the edition is there whole or not at all,
// an older one is untouched, and publishing again completes the work and leaves nothing else behind.
func TestKillSweep(t *testing.T) {
	var steps []string
	recorder := opened(t, t.TempDir())
	recorder.fault = func(step string) error { steps = append(steps, step); return nil }
	mustPublish(t, recorder)
	for i := range steps {
		t.Run(fmt.Sprintf("%02d", i+1), func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "archive")
			older := publishTwoRuns(t, dir)
			before := list(t, older)
			cmd := exec.Command(os.Args[0], "-test.run=^TestPublisherThatIsKilled$")
			cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%d %s", killVariable, i+1, dir))
			out, err := cmd.CombinedOutput()
			if err == nil || len(out) > 0 { // a test that ends by itself says how
				t.Fatalf("it was not killed: %v\n%s", err, out)
			}
			if v := verified(t, dir); len(v.Damage) > 0 {
				t.Fatalf("after the kill: %+v", v.Damage)
			}
			if _, err := publish(t, opened(t, dir)); err != nil {
				t.Fatal(err)
			}
			if v := verified(t, dir); len(v.Damage) > 0 || v.Loose > 0 {
				t.Errorf("after the second try: %+v", v)
			}
			if diff := cmp.Diff(before, list(t, older)); diff != "" {
				t.Errorf("the older edition (- want, + got):\n%s", diff)
			}
			if left := list(t, filepath.Join(dir, stagingName)); len(left) > 0 {
				t.Errorf("left in staging: %v", left)
			}
		})
	}
}
