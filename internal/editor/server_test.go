package editor

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/sourcegraph/jsonrpc2"

	"plumbrule/internal/codebook"
	"plumbrule/internal/table"
	"plumbrule/internal/wording"
)

func noRules() (*codebook.Codebook, *table.Set, error) {
	return nil, nil, errors.New("there are no rules here")
}

// A session goes from initialize to exit; what is asked out of turn is refused
// with the codes of the protocol.
func TestSession(t *testing.T) {
	c := connect(t, noRules)
	c.refused(codeNotInitialized, "textDocument/hover", "{}")
	c.refused(codeNotInitialized, "shutdown", "null")
	c.tell("textDocument/didOpen", `{"textDocument":{"uri":"file:///a.toml","version":1,"text":"["}}`) // dropped
	c.refused(jsonrpc2.CodeInvalidParams, "initialize", "null")
	got := c.initialize(`{}`)
	if got.Capabilities.PositionEncoding != UTF16 || got.Capabilities.TextDocumentSync != (SyncOptions{true, ChangeByRange, true}) || got.ServerInfo.Name != "plumbrule" {
		t.Errorf("the server says it can %+v", got)
	}
	c.refused(jsonrpc2.CodeInvalidRequest, "initialize", `{"capabilities":{}}`)
	c.refused(jsonrpc2.CodeMethodNotFound, "textDocument/noSuchThing", "{}")
	c.refused(jsonrpc2.CodeMethodNotFound, "$/noSuchThing", "{}")
	c.tell("$/noSuchThing", "{}")
	c.tell("workspace/noSuchThing", "{}")
	c.quiet()
	c.must("shutdown", "null", nil)
	c.refused(jsonrpc2.CodeInvalidRequest, "textDocument/hover", "{}")
	c.tell("exit", "null")
	if err := <-c.done; err != nil {
		t.Errorf("the session ended with %v", err)
	}
	for _, want := range []string{"there are no rules here", "didOpen before initialize", "workspace/noSuchThing"} {
		if !strings.Contains(strings.ReplaceAll(c.log.String(), "textDocument/didOpen: textDocument/", ""), want) {
			t.Errorf("the log lacks %q:\n%s", want, c.log)
		}
	}
}

// A client that leaves without a shutdown is an error, however it leaves.
func TestLeaving(t *testing.T) {
	for name, leave := range map[string]func(c *client){
		"exit alone":         func(c *client) { c.tell("exit", "null") },
		"the line is cut":    func(c *client) { c.conn.Close() },
		"a head of nonsense": func(c *client) { io.WriteString(c.pipe, "what is this\r\n\r\n") },
		"a negative length":  func(c *client) { io.WriteString(c.pipe, "Content-Length: -4\r\n\r\n") },
		"a head without end": func(c *client) { io.WriteString(c.pipe, strings.Repeat("x", 1<<16)) },
	} {
		c := connect(t, noRules)
		c.initialize("{}")
		go leave(c)
		select {
		case err := <-c.done:
			if !errors.Is(err, ErrNoShutdown) {
				t.Errorf("%s: the session ended with %v", name, err)
			}
		case <-time.After(patience):
			t.Errorf("%s: the session goes on", name)
		}
	}
}

// A message that cannot be read is passed over; the next one is answered.
func TestUnreadableMessages(t *testing.T) {
	for name, message := range map[string]string{
		"no JSON":             "Content-Length: 5\r\n\r\n{\"a\":",
		"no message":          "Content-Length: 8\r\n\r\n{\"a\": 1}",
		"a list":              "Content-Length: 2\r\n\r\n[]",
		"nothing":             "Content-Length: 0\r\n\r\n",
		"null":                "Content-Length: 4\r\n\r\nnull",
		"blanks after it":     "content-length:38\r\nContent-Type: application/json\r\n\r\n" + `{"jsonrpc":"2.0","method":"$/x"}      `,
		"an answer to nobody": "Content-Length: 38\r\n\r\n" + `{"jsonrpc":"2.0","id":7,"result":null}`,
	} {
		c := connect(t, noRules)
		c.initialize("{}")
		if _, err := io.WriteString(c.pipe, message); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		c.refused(jsonrpc2.CodeMethodNotFound, "still/there", "{}")
	}
}

// What a client should not send is refused or passed over, and the server goes on.
func TestOddClients(t *testing.T) {
	c := start(t, "{}")
	const uri = "file:///nowhere/odd.toml"
	for _, params := range []string{`null`, `{}`, `[]`, `{"textDocument":null}`, `{"textDocument":{"uri":7}}`} {
		for method := range notices {
			if !strings.HasPrefix(method, "workspace/") && method != "textDocument/didSave" && params != "{}" && params != `{"textDocument":null}` {
				c.tell(method, params)
			}
		}
	}
	c.tell("textDocument/didChange", `{"textDocument":{"uri":"`+uri+`","version":2},"contentChanges":[{"text":"x"}]}`)
	c.tell("textDocument/didClose", `{"textDocument":{"uri":"`+uri+`"}}`)
	c.tell("textDocument/didSave", `{"textDocument":{"uri":"`+uri+`"}}`)
	c.tell("$/cancelRequest", `{"id":12345}`)
	c.tell("$/cancelRequest", `{"id":"never"}`)
	c.quiet()
	if !strings.Contains(c.log.String(), `didChange: `) || !strings.Contains(c.log.String(), `"`+uri+`" is not open`) {
		t.Errorf("the log says\n%s", c.log)
	}

	c.open(uri, "a = [")
	if list := c.of(uri); len(list) != 1 || !strings.Contains(list[0].Message, "not TOML") {
		t.Errorf("an open list is shown as %q", said(list))
	}
	c.open(uri, "a = {") // opened twice: the later text holds
	if list := c.of(uri); len(list) != 1 {
		t.Errorf("opened twice: %q", said(list))
	}
	// A stretch that ends before it begins, lies beyond the text or below zero.
	c.tell("textDocument/didChange", `{"textDocument":{"uri":"`+uri+`","version":8},"contentChanges":[
		{"range":{"start":{"line":0,"character":99},"end":{"line":0,"character":4}},"text":"1"},
		{"range":{"start":{"line":77,"character":0},"end":{"line":99,"character":4294967295}},"text":"\nb = ["},
		{"range":{"start":{"line":-1,"character":-5},"end":{"line":0,"character":0}},"text":"# top\n"}]}`)
	c.version[uri] = 8
	if list := c.of(uri); len(list) != 1 || list[0].Range.Start.Line != 2 {
		t.Errorf("after odd changes: %+v", list)
	}
	c.tell("textDocument/didChange", `{"textDocument":{"uri":"`+uri+`","version":9},"contentChanges":[{"text":""}]}`)
	c.version[uri] = 9
	if list := c.of(uri); len(list) != 0 {
		t.Errorf("an empty file shows %q", said(list))
	}
}

// Why a text is no TOML is shown alone; what the review finds comes back when
// the text can be read again.
func TestSyntaxFaultsAreAlone(t *testing.T) {
	c := start(t, related)
	uri := c.demo("barn-faulty")
	before := c.of(uri)
	if len(before) < 12 {
		t.Fatalf("the review shows only %d diagnostics: %s", len(before), said(before))
	}
	c.replace(uri, `record_low          = "-14 degF"`, `record_low          = "−14 °F`)
	list := c.of(uri)
	if len(list) != 1 || !strings.Contains(list[0].Message, "not TOML") || list[0].Severity != SeverityError || list[0].Range.Start.Line != c.lineOf(uri, "record_low ") {
		t.Errorf("a string without an end is shown as %+v", list)
	}
	c.replace(uri, `"−14 °F`, `"-14 degF"`)
	if again := c.of(uri); !slices.EqualFunc(again, before, Diagnostic.same) {
		t.Errorf("mended, the job shows\n%s\nand before\n%s", said(again), said(before))
	}
	c.replace(uri, `record_low          = "-14 degF"`, `record_low          = "-14 dgF"`)
	list = c.of(uri)
	if len(list) != 1 || list[0].Data == nil || list[0].Data.Path != "site.record_low" || list[0].Data.Nearest == "" {
		t.Errorf("a unit that is none is shown as %s, %+v", said(list), list)
	}
}

// Findings stand where their cause does, with their check, their severity and
// their further places; many things at one place are one diagnostic.
func TestFindings(t *testing.T) {
	c := start(t, related)
	uri := c.demo("barn-faulty")
	list := c.of(uri)
	if len(list) > 80 {
		t.Errorf("%d diagnostics of one barn", len(list))
	}
	voltage := with(list, "electrical/string-voltage-building")
	if len(voltage) != 0 {
		t.Errorf("the barn is no dwelling: %s", said(voltage))
	}
	feet := with(list, "layout/fastener-on-rib-crest")
	if len(feet) != 1 || feet[0].Severity != SeverityError || feet[0].Source != "plumbrule" ||
		!strings.Contains(feet[0].Message, "and 47 more") || !strings.HasPrefix(feet[0].Message, "1. correction: ") || len(feet[0].Related) == 0 {
		t.Fatalf("the feet beside the ribs are shown as %+v", feet)
	}
	if r := feet[0].Related[0]; r.Location.URI != uri || !strings.HasPrefix(r.Message, "array.west.") {
		t.Errorf("a further place is %+v", r)
	}
	if !slices.ContainsFunc(list, func(d Diagnostic) bool { return d.Severity == SeverityWarning }) {
		t.Error("nothing is to be verified")
	}
	var lone *Diagnostic
	for i, d := range list {
		if d.Data != nil && slices.Equal(d.Data.Missing, []string{"adoption.ibc"}) {
			lone = &list[i]
		}
	}
	if missing := with(list, missingCode); lone == nil || lone.Range.Start.Line != c.lineOf(uri, "[adoption]") || lone.Severity == SeverityError {
		t.Errorf("the edition of the IBC that is not stated is shown as %+v among %s", lone, said(missing))
	}

	// One for each comment, by its number; what comes of it is counted in it.
	w, d := desk(t, pathOf(uri), c.text[uri])
	comments := d.Review.Comments()
	if got := len(list); got != len(comments)+len(d.Review.Deviations) {
		t.Errorf("%d diagnostics of %d comments in %d", got, len(comments), len(w.documents))
	}
	follows := 0
	for i, comment := range comments {
		x := list[slices.IndexFunc(list, func(x Diagnostic) bool { return strings.HasPrefix(x.Message, fmt.Sprint(i+1, ". ")) })]
		if comes := wording.Comes(comment); comes != "" {
			follows++
			if !strings.Contains(x.Message, "\nComes of it: "+comes) {
				t.Errorf("comment %d has %s: %q", i+1, comes, x.Message)
			}
		}
		if comment.Check != nil && x.Code != comment.Check.ID || comment.Check == nil && x.Code != missingCode {
			t.Errorf("comment %d has the code %s", i+1, x.Code)
		}
	}
	if follows < 5 {
		t.Errorf("something comes of %d comments alone", follows)
	}

	plain := start(t, "{}")
	for _, d := range plain.of(plain.demo("barn-faulty")) {
		if d.Related != nil {
			t.Fatalf("a client that does not show further places is given %v", d.Related)
		}
	}
}

// However fast a person types, what is shown is never older than what was shown
// before, and in the end it is what a review of the last text shows.
func TestBurst(t *testing.T) {
	c := start(t, related)
	uri := c.demo("house-faulty")
	first := c.of(uri)
	speed := windSpeed(t, c.text[uri])
	was := speed
	for i := range 60 {
		now := fmt.Sprintf("wind_speed = \"%d mph\"", 100+i%17)
		if i%5 == 3 {
			now = fmt.Sprintf("wind_speed = \"%d mph", 100+i) // not finished yet
		}
		c.replace(uri, was, now)
		was = now
		if i%10 == 0 {
			time.Sleep(20 * time.Millisecond)
		}
	}
	c.replace(uri, was, speed)
	newest := 0
	for newest < c.version[uri] {
		p := c.next()
		if p.URI != uri {
			continue
		}
		if p.Version == nil || *p.Version < newest {
			t.Fatalf("version %v is shown after %d", p.Version, newest)
		}
		newest = *p.Version
		if newest == c.version[uri] && !slices.EqualFunc(p.Diagnostics, first, Diagnostic.same) {
			t.Errorf("in the end the job shows\n%s\nand a first review\n%s", said(p.Diagnostics), said(first))
		}
	}
	c.quiet()
}

// windSpeed is how a job states its wind speed, to the end of the value.
func windSpeed(t *testing.T, text string) string {
	t.Helper()
	for line := range strings.Lines(text) {
		if key, value, ok := strings.Cut(line, "="); ok && strings.TrimSpace(key) == "wind_speed" {
			value, _, _ = strings.Cut(strings.TrimSpace(value)[1:], `"`)
			return key + `= "` + value + `"`
		}
	}
	t.Fatal("the job states no wind speed")
	return ""
}

const part = `[[module_type]]
name = "M1"
width = "40 in"
widht = "41 in"
`

const whole = `include = ["parts/100 % new.toml"]
[project]
name = "x"
[adoption]
nec = "2020"
[[plane]]
name = "south"
outline = [["0 ft", "0 ft"], ["30 ft", "0 ft"], ["30 ft", "20 ft"], ["0 ft", "20 ft"]]
[[array]]
name = "a"
plane = "south"
module = "M1"
rows = 1
columns = 2
`

// What is wrong in an included file is shown in that file, from what is typed
// there or else from the disk, and goes when the job goes. A part of an open job
// is no job by itself.
func TestIncludes(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "parts"), 0o777); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "parts", "100 % new.toml")
	if err := os.WriteFile(file, []byte(part), 0o666); err != nil {
		t.Fatal(err)
	}
	c := start(t, related)
	job, beside := uriOf(clean(filepath.Join(dir, "job é.toml"))), uriOf(clean(file))
	if !strings.HasSuffix(beside, "/parts/100%20%25%20new.toml") {
		t.Fatalf("the part is called %s", beside)
	}

	c.open(job, whole)
	p, q := c.next(), c.next()
	if p.URI == job {
		p, q = q, p
	}
	if p.URI != beside || p.Version != nil || len(p.Diagnostics) != 1 || p.Diagnostics[0].Range.Start.Line != 3 || p.Diagnostics[0].Data.Nearest != "width" {
		t.Errorf("the part on the disk is shown as %+v", p)
	}
	if q.URI != job || len(q.Diagnostics) != 1 || q.Diagnostics[0].Range.Start.Line != 0 || !strings.Contains(q.Diagnostics[0].Message, "1 fault in 100 % new.toml") {
		t.Errorf("the job is shown as %+v", q)
	}

	c.open(beside, strings.Replace(part, "widht", "length", 1)) // not saved
	shown := c.all(beside, job)
	if list := shown[beside]; len(with(list, "")) != 0 {
		t.Errorf("the mended part shows %s", said(list))
	}
	if list := shown[job]; len(with(list, "")) != 0 || len(with(list, missingCode)) == 0 {
		t.Errorf("the job of the mended part shows %s", said(list))
	}

	c.replace(beside, `"40 in"`, `"40 in`)
	shown = c.all(beside, job)
	if list := shown[beside]; len(list) != 1 || !strings.Contains(list[0].Message, "not TOML") {
		t.Errorf("the broken part shows %s", said(list))
	}
	if list := shown[job]; len(list) != 1 || !strings.Contains(list[0].Message, "in 100 % new.toml") {
		t.Errorf("the job of the broken part shows %s", said(list))
	}

	c.close(beside) // the disk's text holds again
	if p := c.next(); p.URI != beside || p.Version != nil || len(p.Diagnostics) != 1 || p.Diagnostics[0].Range.Start.Line != 3 {
		t.Errorf("the part that was closed is shown as %+v", p)
	}
	c.close(job)
	gone := map[string]bool{}
	for len(gone) < 2 {
		if p := c.next(); len(p.Diagnostics) == 0 {
			gone[p.URI] = true
		}
	}
	c.quiet()
}

// A part that no open job includes shows only what is wrong with it whatever
// the job is.
func TestPartAlone(t *testing.T) {
	c := start(t, related)
	const uri = "file:///nowhere/part.toml"
	c.open(uri, part+"[[array]]\nname = \"a\"\nplane = \"elsewhere\"\nmodule = \"elsewhere\"\n")
	if list := c.of(uri); len(list) != 1 || list[0].Range.Start.Line != 3 {
		t.Errorf("the part shows %s", said(list))
	}
	equipment := c.demo("equipment")
	if list := c.of(equipment); len(list) != 0 {
		t.Errorf("the demo equipment shows %s", said(list))
	}
}

// A job that was not saved yet has no files beside it.
func TestUnsaved(t *testing.T) {
	c := start(t, related)
	const uri = "untitled:Untitled-1"
	c.open(uri, "include = [\"equipment.toml\"]\n[project]\nname = \"x\"\n")
	if list := c.of(uri); len(list) != 1 || !strings.Contains(list[0].Message, "not saved") || list[0].Range.Start != (Position{0, 11}) {
		t.Errorf("an include of an unsaved job is shown as %+v", list)
	}
	c.replace(uri, "include = [\"equipment.toml\"]\n", "")
	if list := c.of(uri); len(with(list, "")) != 0 || len(list) == 0 {
		t.Errorf("an unsaved job shows %s", said(list))
	}
}

// Files that change on the disk are read again; a client that can tell of them
// is asked to.
func TestFilesChange(t *testing.T) {
	file := filepath.Join(t.TempDir(), "parts.toml")
	write := func(text string) {
		if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	write(part)
	c := start(t, `{"workspace":{"didChangeWatchedFiles":{"dynamicRegistration":true}}}`)
	if method := <-c.asked; method != "client/registerCapability" {
		t.Errorf("the server asks for %s", method)
	}
	job := uriOf(clean(filepath.Join(filepath.Dir(file), "job.toml")))
	c.open(job, strings.Replace(whole, "parts/100 % new.toml", "parts.toml", 1))
	c.of(job)
	write(strings.Replace(part, "widht", "length", 1))
	c.tell("workspace/didChangeWatchedFiles", `{"changes":[]}`)
	if list := c.of(job); len(with(list, "")) != 0 {
		t.Errorf("after the part was saved the job shows %s", said(list))
	}
}

// A question is answered while others are; one that is withdrawn is answered
// at once, and a defect is told and ends nothing.
func TestQuestions(t *testing.T) {
	release := make(chan struct{})
	handlers["test/slow"] = func(*Workspace, json.RawMessage) (any, error) { <-release; return "late", nil }
	handlers["test/quick"] = func(w *Workspace, _ json.RawMessage) (any, error) { return len(w.documents), nil }
	handlers["test/defect"] = func(*Workspace, json.RawMessage) (any, error) { panic("planted") }
	handlers["test/place"] = about(func(_ *Workspace, d *Document, p AtPosition) (int, error) { return d.Offset(p.Position), nil })
	defer func() {
		for _, m := range []string{"test/slow", "test/quick", "test/defect", "test/place"} {
			delete(handlers, m)
		}
	}()
	c := connect(t, noRules)
	c.initialize("{}")
	slow, err := c.conn.DispatchCall(context.Background(), "test/slow", nil, jsonrpc2.PickID(jsonrpc2.ID{Str: "s", IsString: true}))
	if err != nil {
		t.Fatal(err)
	}
	var n int
	if c.must("test/quick", "{}", &n); n != 0 {
		t.Errorf("%d documents are open", n)
	}
	c.tell("$/cancelRequest", `{"id":"s"}`)
	var refusal *jsonrpc2.Error
	if err := slow.Wait(context.Background(), nil); !errors.As(err, &refusal) || refusal.Code != codeCancelled {
		t.Errorf("a question that was withdrawn is answered with %v", err)
	}
	close(release)
	c.refused(jsonrpc2.CodeInternalError, "test/defect", "{}")
	if !strings.Contains(c.log.String(), "planted") {
		t.Errorf("the log lacks the defect:\n%s", c.log)
	}
	c.refused(jsonrpc2.CodeInvalidParams, "test/place", "null")
	c.refused(jsonrpc2.CodeInvalidParams, "test/place", `{"textDocument":{"uri":"file:///not-open.toml"}}`)
	c.open("file:///a.toml", "a = \"−14 °F\"\n")
	if c.must("test/place", `{"textDocument":{"uri":"file:///a.toml"},"position":{"line":0,"character":10}}`, &n); n != len("a = \"−14 °") {
		t.Errorf("the tenth character begins at byte %d", n)
	}
}

// A client may count in bytes.
func TestUTF8(t *testing.T) {
	c := connect(t, noRules)
	if got := c.initialize(`{"general":{"positionEncodings":["utf-32","utf-16","utf-8"]}}`); got.Capabilities.PositionEncoding != UTF8 {
		t.Fatalf("positions are counted in %s", got.Capabilities.PositionEncoding)
	}
	const uri = "file:///a.toml"
	c.open(uri, "a = \"−14 °F\" x\n")
	if list := c.of(uri); len(list) != 1 || list[0].Range.Start.Character != len("a = \"−14 °F\" ") {
		t.Errorf("the fault is shown at %+v", list)
	}
}

// A review that panics is shown, and the next one goes on.
func TestReviewPanics(t *testing.T) {
	c := connect(t, func() (*codebook.Codebook, *table.Set, error) {
		return &codebook.Codebook{Checks: []*codebook.Check{nil}}, &table.Set{}, nil
	})
	c.initialize("{}")
	const uri = "file:///a.toml"
	c.open(uri, "[project]\nname = \"x\"\n")
	for range 2 {
		if list := c.of(uri); len(list) != 1 || !strings.Contains(list[0].Message, "defect of the program") {
			t.Errorf("a panic is shown as %s", said(list))
		}
		c.replace(uri, `"x"`, `"x"`)
	}
	if !strings.Contains(c.log.String(), "defect: /a.toml") {
		t.Errorf("the log lacks the defect:\n%s", c.log)
	}
}
