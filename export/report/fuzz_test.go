package report

import "testing"

// FuzzWords: whatever words an edition holds beside its tables, they are refused or a page is made of them. The tables stay, so words and
// tables need not fit each other.
func FuzzWords(f *testing.F) {
	s := invented("fjord")
	text, err := s.Words.JSON()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add([]byte(`{}`))
	f.Add([]byte(`{"review":"r","modes":[{"card":"a","mode":"b"}],"cells":[{"card":"a","mode":"c","of":-1}],"soaks":[{}],"claims":[{}],"levels":[{"at":[{}]}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		w, err := ReadWords(text)
		if err != nil {
			return
		}
		s.Words = w
		if page, err := s.Page(Pictures{}); err == nil && len(page.Content) == 0 {
			t.Error("a page of nothing")
		}
	})
}
