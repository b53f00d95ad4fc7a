package archive

import (
	"errors"
	"fmt"
	"path/filepath"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxPath bounds paths below an edition, in characters: Windows programs stop at 260 with the archive's own path.
const maxPath = 100

var (
	label     = regexp.MustCompile(`^[a-z][a-z0-9_-]{0,39}$`)
	editionID = regexp.MustCompile(`^e[0-9a-f]{15}$`)
	digest    = regexp.MustCompile(`^[0-9a-f]{64}$`)
	device    = regexp.MustCompile(`(?i)^(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])([ .:].*)?$`)
)

// checkLabel accepts what may be a part of a path on every system. Plans are checked before; this is the last door.
func checkLabel(s string) error {
	if !label.MatchString(s) || device.MatchString(s) || s == "null" {
		return fmt.Errorf("%q cannot be part of a path", s)
	}
	return nil
}

// checkPath accepts relative paths with forward slashes that mean the same file on every system, below an edition.
func checkPath(path string) error {
	bad := func(why string) error { return fmt.Errorf("%q cannot be a file of an edition: %s", path, why) }
	if !utf8.ValidString(path) {
		return bad("not UTF-8")
	}
	if utf8.RuneCountInString(path) >= maxPath {
		return bad(fmt.Sprintf("%d characters or more", maxPath))
	}
	if path == manifestName || path == manifestSumName {
		return bad("the manifest is written last, by itself")
	}
	for part := range strings.SplitSeq(path, "/") {
		if err := checkPart(part); err != nil {
			return bad(err.Error())
		}
	}
	if !filepath.IsLocal(filepath.FromSlash(path)) {
		return bad("it leads out of the edition")
	}
	return nil
}

func checkPart(part string) error {
	switch {
	case part == "" || part == "." || part == "..":
		return errors.New("an empty part, or one of dots alone")
	case strings.ContainsAny(part, `\:*?"<>|`) || strings.ContainsFunc(part, unicode.IsControl):
		return errors.New("a character that some systems do not take")
	case strings.HasSuffix(part, ".") || strings.HasSuffix(part, " ") || strings.HasPrefix(part, " "):
		return errors.New("a part begins or ends with a blank, or ends with a dot")
	case device.MatchString(part):
		return errors.New("a device's name")
	}
	return nil
}

// foldPath is equal for paths that are one file where cases are not told apart.
func foldPath(path string) string { return strings.ToLower(strings.ToUpper(path)) }
