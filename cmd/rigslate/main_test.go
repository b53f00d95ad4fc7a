package main

import (
	"bytes"
	"context"
	"strings"
	"testing"
)

func TestUnknownCommandIsWrongUsage(t *testing.T) {
	var stdout, stderr bytes.Buffer
	if code := run(context.Background(), []string{"polish"}, &stdout, &stderr); code != 2 {
		t.Errorf("exit code %d, want 2", code)
	}
	if !strings.Contains(stderr.String(), `"polish"`) {
		t.Errorf("stderr does not name the command: %q", stderr.String())
	}
}
