package match

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

func TestLogFields(t *testing.T) {
	const header = "file;card;mode;game;variant;resolution;repeat;launch;session;started;driver;build;firmware;ambient_c;outcome;note\r\n"
	const row = "a/b.csv;heron_x;tuned;fjord;rays_up;uhd;02;l1;s1;2027-02-21T09:30:00.5+01:00;612.4;1.8.2;quiet;21,5;hang;\"two; \"\"quoted\"\"\"\r\n"
	ambient := 21.5
	want := []LogRow{{File: "a/b.csv", Card: "heron_x", Mode: "tuned", Game: "fjord", Variant: "rays_up", Resolution: "uhd", Repeat: 2,
		Launch: "l1", Session: "s1", Started: time.Date(2027, 2, 21, 8, 30, 0, 5e8, time.UTC), Driver: "612.4", Build: "1.8.2",
		Firmware: "quiet", AmbientC: &ambient, Outcome: Hang, Note: `two; "quoted"`,
		Place: finding.Place{File: "bench.csv", Line: 2, Source: strings.TrimSuffix(row, "\r\n")}}}
	for name, data := range map[string]string{
		"semicolons": header + row,
		"mark":       "\ufeff" + header + row + ";;;;;;;;;;;;;;;\r\n\r\n",
		"tabs":       strings.ReplaceAll(header+row, ";", "\t"),
	} {
		got, list := parseLog("bench.csv", []byte(data))
		if name == "tabs" && len(got) == 1 {
			got[0].Note, got[0].Place.Source = want[0].Note, want[0].Place.Source
		}
		if diff := cmp.Diff(want, got, cmpopts.IgnoreUnexported(LogRow{})); diff != "" || list != nil {
			t.Errorf("%s: %s%v", name, diff, lines(list))
		}
	}
}

func TestBadLogs(t *testing.T) {
	for _, c := range []struct {
		name, text string
		rows       int
		want       []string
	}{
		{"empty", "", 0, []string{"b.csv: error: A bench log is empty: It has no header. " + headerMend}},
		{"blank", "\n ,,\n", 0, []string{"b.csv: error: A bench log is empty: It has no header. " + headerMend}},
		{"no header", "a.csv,heron,1\n", 0, []string{"b.csv:1:1: error: A bench log has no header: None of its columns is known. " + headerMend}},
		{"two bytes a character", "\xff\xfef\x00i\x00", 0, []string{"b.csv: error: A bench log cannot be read: It is not UTF-8 text. Save it as UTF-8."}},
		{"unknown column", "file,sesion,File,\na.csv,s1,x,\n", 1, []string{
			`b.csv:1:6: warning: A bench log has an unknown column: Column "sesion" is not read. Did you mean session?`,
			`b.csv:1:13: warning: A bench log has an unknown column: Column "File" is not read. Did you mean file?`,
		}},
		{"column twice", "file,card,file\na.csv,heron,b.csv\n", 0, []string{
			`b.csv:1:11: error: A bench log names a column twice: There are two columns "file". Remove one.`}},
		{"field count", "file,card\na.csv\nb.csv,heron\nc.csv,heron,x\n", 1, []string{
			"b.csv:2: error: A row of a bench log has another number of fields than its header: 1 fields, the header has 2. Quote fields that hold the delimiter.",
			"b.csv:4: error: A row of a bench log has another number of fields than its header: 3 fields, the header has 2. Quote fields that hold the delimiter.",
		}},
		{"bad fields, several in a row", "file,repeat,started,ambient_c,outcome,note\n../a.csv,0,yesterday,nan,crashed,é\nok.csv,,,,,\n/x.csv,1000,2027-02-21,1e3,OK,\n", 1, []string{
			`b.csv:2:1: error: A field of a bench log cannot be used: "../a.csv" is not a path in the captures' folder. Write it without '..'; --captures says which folder that is.`,
			`b.csv:2:10: error: A field of a bench log cannot be used: "0" is no number from 1 to 999. Write the number of the pass within its cell.`,
			`b.csv:2:12: error: A field of a bench log cannot be used: "yesterday" is not a time. Write it as 2027-03-04T14:00:00Z or 2027-03-04T15:00:00+01:00.`,
			`b.csv:2:22: error: A field of a bench log cannot be used: "nan" is not a number of °C. Write it as 21.5, or leave it empty.`,
			`b.csv:2:26: error: A field of a bench log cannot be used: "crashed" is no outcome. Did you mean crash?`,
			`b.csv:4:1: error: A field of a bench log cannot be used: "/x.csv" is not a path in the captures' folder. Paths are relative to the captures' folder; --captures says which that is.`,
			`b.csv:4:8: error: A field of a bench log cannot be used: "1000" is no number from 1 to 999. Write the number of the pass within its cell.`,
			`b.csv:4:13: error: A field of a bench log cannot be used: "2027-02-21" is not a time. Write it as 2027-03-04T14:00:00Z or 2027-03-04T15:00:00+01:00.`,
			`b.csv:4:24: error: A field of a bench log cannot be used: "1e3" is not a number of °C. Write it as 21.5, or leave it empty.`,
			`b.csv:4:28: error: A field of a bench log cannot be used: "OK" is no outcome. Write ok, crash, hang, artefacts or unsupported.`,
		}},
		{"no room is like that", "file,ambient_c\na.csv,-400\nb.csv,100.1\nc.csv,-60\n", 1, []string{
			`b.csv:2:7: error: A field of a bench log cannot be used: "-400" is no temperature of a room. Write °C, from -60 to 100, or leave it empty.`,
			`b.csv:3:7: error: A field of a bench log cannot be used: "100.1" is no temperature of a room. Write °C, from -60 to 100, or leave it empty.`}},
		{"columns count characters", "note,repeat\nhéé,x\n", 0, []string{
			`b.csv:2:5: error: A field of a bench log cannot be used: "x" is no number from 1 to 999. Write the number of the pass within its cell.`}},
		{"no file", "file,card\n,heron\n", 0, []string{
			"b.csv:2: error: A pass of the bench log has no file: It ended well, yet no file is named. Name its file, or its outcome: crash, hang, artefacts or unsupported."}},
		{"not text", "file,note\na.csv,\xe9t\xe9\n", 0, []string{
			`b.csv:2:7: error: A field of a bench log cannot be used: "\xe9t\xe9" is not UTF-8. Save the log as UTF-8.`}},
		{"bare quote", "file,note\na.csv,a \"b\" c\nb.csv,\n", 1, []string{
			`b.csv:2:9: error: A row of a bench log cannot be read: A quote stands inside a field that is not quoted. ` +
				`Quote the whole field and double the quotes in it: "a ""b"" c".`}},
		{"open quote", "file,note\na.csv,\nb.csv,\"open\nc.csv,\nd.csv,\n", 1, []string{
			`b.csv:3: error: A row of a bench log cannot be read: A quoted field does not end where it should. ` +
				`What stands from line 3 on up to line 5 is not read. Quote the whole field and double the quotes in it: "a ""b"" c".`}},
	} {
		rows, list := parseLog("b.csv", []byte(c.text))
		if diff := cmp.Diff(c.want, lines(list)); diff != "" || len(rows) != c.rows {
			t.Errorf("%s: %d rows\n%s", c.name, len(rows), diff)
		}
	}
}

func TestLogAndFiles(t *testing.T) {
	const usual = "captures/{card}_{game}_{resolution}_{repeat}.csv"
	for _, c := range []struct {
		name     string
		files    []plan.Files
		log      string
		names    []string
		found    []string
		outcomes []string
		findings []string
	}{
		{
			name: "names without a pattern", files: []plan.Files{{Name: "a", Log: "bench.csv"}},
			log: "file,card,mode,game,variant,resolution,repeat,outcome\n" +
				"one.csv,heron_x,tuned,fjord,rays_up,uhd,1,\n" +
				"sub/two.csv,heron,,kelp,,qhd,,ok\n" +
				"lost.csv,heron,,kelp,,qhd,2,ok\n" +
				",heron_x,stock,kelp,,uhd,,unsupported\n" +
				",heron_x,tuned,kelp,,uhd,,crash\n" +
				"three.csv,heron_x,tuned,kelp,,uhd,,\n",
			names: []string{"one.csv", "sub/two.csv", "lots.csv", "three.csv", "sub/unnamed.csv", "notes.txt"},
			found: []string{
				"one.csv → heron_x·tuned fjord·rays_up uhd pass 1",
				"sub/two.csv → heron·stock kelp·plain qhd",
				"stray lots.csv (not named in bench.csv)",
				"stray sub/unnamed.csv (not named in bench.csv)",
				"stray three.csv (heron_x·tuned kelp·plain uhd is not in the matrix)",
				"other 1 [notes.txt]",
			},
			outcomes: []string{"heron_x·stock kelp·plain uhd unsupported"},
			findings: []string{
				"bench.csv:4:1: error: A file of the bench log is not there: lost.csv is named, but lies nowhere in the captures' folder. Did you mean lots.csv?",
				"bench.csv:6: warning: A row of the bench log belongs to no cell: heron_x·tuned kelp·plain uhd is not in the matrix. Add the cell to a matrix block, or remove the row.",
			},
		},
		{
			name: "the log adds what path leaves out, and wins", files: []plan.Files{{Name: "a", Path: usual, Log: "bench.csv"}},
			log: "file,mode,variant,game,repeat,session\n" +
				"captures/heron_x_fjord_qhd_1.csv,tuned,rays_up,,,s1\n" +
				"captures/heron_kelp_qhd_1.csv,,,kelp_2,7,s1\n" +
				"captures/heron_kelp_uhd_1.csv,,,,,s1\n",
			names: []string{"captures/heron_x_fjord_qhd_1.csv", "captures/heron_kelp_qhd_1.csv", "captures/heron_kelp_uhd_1.csv", "captures/heron_kelp_uhd_2.csv"},
			found: []string{
				"captures/heron_kelp_uhd_1.csv → heron·stock kelp·plain uhd pass 1",
				"captures/heron_kelp_uhd_2.csv → heron·stock kelp·plain uhd pass 2",
				"captures/heron_x_fjord_qhd_1.csv → heron_x·tuned fjord·rays_up qhd pass 1",
			},
			findings: []string{"bench.csv:3: error: A row of the bench log does not say which cell it is: " +
				"It may be tern_ref·stock kelp_2·plain qhd pass 7 or tern_ref·stock kelp_2·plain uhd pass 7 or heron·stock kelp_2·plain qhd pass 7, or others. " +
				"Fill in the fields that tell them apart."},
		},
		{
			name: "the log contradicts the name", files: []plan.Files{{Name: "a", Path: usual, Log: "bench.csv"}},
			log:   "file,card,game,resolution,repeat\ncaptures/heron_kelp_qhd_1.csv,tern_ref,kelp,uhd,3\n",
			names: []string{"captures/heron_kelp_qhd_1.csv"},
			found: []string{"captures/heron_kelp_qhd_1.csv → tern_ref·stock kelp·plain uhd pass 3"},
			findings: []string{"bench.csv:2:1: note: A bench log and a file name disagree: " +
				"By its name captures/heron_kelp_qhd_1.csv is heron·stock kelp·plain qhd; by the log it is tern_ref·stock kelp·plain uhd. The log is used."},
		},
		{
			name: "misspelt", files: []plan.Files{{Name: "a", Path: usual, Log: "bench.csv"}},
			log: "file,card,mode,game,variant,resolution\n" +
				"captures/heron_kelp_qhd_1.csv,herron,,kelp,,qhd\n" +
				"captures/heron_kelp_qhd_2.csv,heron,tuned,kelpp,,4k\n" +
				"captures/heron_kelp_qhd_3.csv,heron,,fjord,rays,qhd\n" +
				"Captures/heron_kelp_qhd_4.csv,heron,,kelp,,qhd\n" +
				"captures/heron_kelp_qhd_1.csv,heron,,kelp,,qhd\n",
			names: []string{"captures/heron_kelp_qhd_1.csv", "captures/heron_kelp_qhd_2.csv", "captures/heron_kelp_qhd_3.csv", "captures/heron_kelp_qhd_4.csv"},
			found: []string{"captures/heron_kelp_qhd_4.csv → heron·stock kelp·plain qhd pass 4"}, // spoken for by path, as the row's file is not there
			findings: []string{
				`bench.csv:2:31: error: A bench log names what is not declared: There is no card "herron". Did you mean heron?`,
				`bench.csv:3:37: error: A bench log names what is not declared: There is no mode "tuned" of card heron. Declared: stock.`,
				`bench.csv:3:43: error: A bench log names what is not declared: There is no game "kelpp". Did you mean kelp?`,
				`bench.csv:3:50: error: A bench log names what is not declared: There is no resolution "4k". Declared: qhd, uhd.`,
				`bench.csv:4:44: error: A bench log names what is not declared: There is no variant "rays" of game fjord. Declared: plain, rays_up.`,
				`bench.csv:5:1: error: A file of the bench log is not there: Captures/heron_kelp_qhd_4.csv is named, but lies nowhere in the captures' folder. Did you mean captures/heron_kelp_qhd_4.csv?`,
				`bench.csv:6:1: error: A bench log names a file twice: captures/heron_kelp_qhd_1.csv is also named in bench.csv:2. One file is one pass: keep one of the rows.`,
			},
		},
		{
			name: "no log", files: []plan.Files{{Name: "a", Path: usual, Log: "bench.csv"}, {Name: "b", Log: "../bench.csv"}},
			names: []string{"bemch.csv", "captures/heron_kelp_qhd_1.csv"},
			found: []string{"captures/heron_kelp_qhd_1.csv → heron·stock kelp·plain qhd pass 1", "other 1 [bemch.csv]"},
			findings: []string{
				"plan.hcl:10: error: A bench log cannot be read: bench.csv is not there. Did you mean bemch.csv?",
				`plan.hcl:20: error: A bench log's path cannot be used: "../bench.csv" leaves the captures' folder. Write it without '..'; --captures says which folder that is.`,
			},
		},
		{
			name:  "two blocks share a log",
			files: []plan.Files{{Name: "a", Path: "a/{card}_{game}_{resolution}.csv", Log: "bench.csv"}, {Name: "b", Path: "b/{card}_{game}_{resolution}.csv", Log: "bench.csv"}},
			log:   "file,card,game,resolution,session\nb/heron_kelp_qhd.csv,,,,s1\nelse.csv,heron,kelp,uhd,s1\n",
			names: []string{"a/heron_kelp_uhd.csv", "b/heron_kelp_qhd.csv", "else.csv"},
			found: []string{"a/heron_kelp_uhd.csv → heron·stock kelp·plain uhd", "b/heron_kelp_qhd.csv → heron·stock kelp·plain qhd"},
			findings: []string{`bench.csv:3:1: error: Several files blocks share a bench log: else.csv may be read by "a" or "b". ` +
				"Give each block a path that matches its files, or a log of its own."},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := map[string]string{}
			for _, n := range c.names {
				files[n] = "x"
			}
			if c.log != "" {
				files["bench.csv"] = c.log
			}
			found, findings := find(t, example(c.files...), files)
			if diff := cmp.Diff(c.found, found.lines()); diff != "" {
				t.Error(diff)
			}
			var outcomes []string
			for _, o := range found.Outcomes {
				outcomes = append(outcomes, o.Key.String()+" "+o.Row.Outcome)
			}
			if diff := cmp.Diff(c.outcomes, outcomes); diff != "" {
				t.Error(diff)
			}
			if diff := cmp.Diff(c.findings, findings); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestLogTooLarge(t *testing.T) {
	_, findings := find(t, example(plan.Files{Name: "a", Log: "bench.csv"}), map[string]string{"bench.csv": strings.Repeat("\n", maxLog+1)})
	want := []string{"bench.csv: error: A bench log is too large: It has more than 32 MiB. Is it the log? Divide it if so, one for each files block."}
	if diff := cmp.Diff(want, findings); diff != "" {
		t.Error(diff)
	}
}
