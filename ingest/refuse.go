package ingest

import (
	"context"
	"errors"
	"fmt"

	"github.com/rigslate/rigslate/plan/finding"
)

// refuse sees to it that a finding tells of the error that makes a file useless, unless the fault is not the file's, and hands the error
// on.
func refuse(c *File, name string, err error) error {
	at := finding.Place{File: name}
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded), errors.Is(err, ErrCopy), errors.Is(err, ErrLayout):
	case errors.Is(err, ErrGrowing):
		c.Findings = nil // of a state that no longer is
		c.Findings.Add(finding.Error, at, "The file is still being written", "it changed while it was read, and is not used",
			"run again once the recording has ended")
	case c.Findings.HasErrors():
	case errors.Is(err, ErrTooLarge):
		c.Findings.Add(finding.Error, at, "The file is larger than a capture can be", err.Error(), "")
	default:
		c.Findings.Add(finding.Error, at, "The file cannot be read", err.Error(), "")
	}
	return err
}

// compare holds frame times against timestamps where a file has both: from the end of its first frame to the end of its last
// they must agree within 1 % of the time stamped, else frames were lost (definitions, section 7). The timestamps serve for nothing else.
func (r *Reader) compare(c *Capture, name string) {
	s := r.text.Stats()
	frames := s.TotalNS - s.FirstFrameNS
	if off := max(frames-s.ElapsedNS, s.ElapsedNS-frames); off <= max(0, s.ElapsedNS/100) {
		return
	}
	c.FramesLost = true
	c.Findings.Add(finding.Error, finding.Place{File: name}, "Frame times and timestamps disagree: frames were lost",
		fmt.Sprintf("from the end of the first frame to the end of the last, frame times make %.6f s and timestamps %.6f s",
			float64(frames)/1e9, float64(s.ElapsedNS)/1e9),
		"record the pass again, or check both units")
}
