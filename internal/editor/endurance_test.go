package editor

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math/rand"
	"net"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"

	"plumbrule/internal/review"
)

// aDigit is the first digit of a value with a unit.
var aDigit = regexp.MustCompile(`= "(\d)[\d.]* [a-zA-Z/]+"`)

// heap is the memory in use, in MB.
func heap() float64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.HeapAlloc) / (1 << 20)
}

// However many values are changed, and changed back, memory stays flat.
func TestMemoryStaysFlat(t *testing.T) {
	edits := 2000
	if testing.Short() {
		edits = 200
	}
	c := start(t, related)
	const uri = "file:///nowhere/job.toml"
	text := strings.Replace(whole, "include = [\"parts/100 % new.toml\"]\n", "", 1) + strings.Replace(part, "widht", "length", 1)
	c.open(uri, text)
	c.of(uri)
	random := rand.New(rand.NewSource(1))
	begun := 0.0
	for i := range edits {
		at := aDigit.FindAllStringSubmatchIndex(c.text[uri], -1)
		n := at[random.Intn(len(at))][2]
		now := c.text[uri][:n] + fmt.Sprint(1+random.Intn(9)) + c.text[uri][n+1:]
		c.replace(uri, c.text[uri], now)
		if i%20 == 0 {
			c.of(uri)
		}
		if i == edits/5 {
			begun = heap()
		}
	}
	c.replace(uri, c.text[uri], text)
	c.of(uri)
	if ended := heap(); ended > 1.2*begun+4 {
		t.Errorf("%.1f MB after a fifth of the edits, %.1f MB after all", begun, ended)
	}
}

// Of a long row of reviews nothing is taken over from the beginning.
func TestAReviewIsMadeAnewInTime(t *testing.T) {
	w, d := desk(t, "/job.toml", strings.Replace(whole, "include = [\"parts/100 % new.toml\"]\n", "", 1)+strings.Replace(part, "widht", "length", 1))
	s := &server{}
	k := &kept{}
	for range mostTakenOver {
		tried := s.try(w, d, k.session)
		if tried.session == nil {
			t.Fatal("the job is not reviewed")
		}
		before := k.session
		k.session = tried.session
		if k.reviews++; k.reviews == mostTakenOver {
			k.prepare()
			if k.reviews != 0 || k.session == tried.session || k.session == before {
				t.Error("nothing was made anew")
			}
		}
	}
	if c := review.Compare(d.Review, k.session.Review()); !c.Same() {
		t.Error("the review that is made anew is another one")
	}
}

// A client that reads nothing holds up neither its own messages nor the end.
func TestAClientThatDoesNotRead(t *testing.T) {
	ours, theirs := net.Pipe()
	done := make(chan error, 1)
	go func() { done <- Serve(t.Context(), theirs, Options{Load: load, Log: io.Discard}) }()
	send := func(message string) {
		t.Helper()
		must(t, ours.SetWriteDeadline(time.Now().Add(patience)))
		if _, err := fmt.Fprintf(ours, "Content-Length: %d\r\n\r\n%s", len(message), message); err != nil {
			t.Fatalf("%.60s: %v", message, err)
		}
	}
	read := make(chan error, 1)
	go func() { // the answer to initialize, and nothing more
		in := bufio.NewReaderSize(ours, 64)
		length, err := readHead(in)
		if err == nil {
			_, err = io.CopyN(io.Discard, in, length)
		}
		read <- err
	}()
	send(`{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{}}}`)
	must(t, <-read)
	send(`{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{"textDocument":{"uri":"file:///a.toml","version":1,"text":"[project]\nname = 1\n"}}}`)
	for i := range 200 {
		send(fmt.Sprintf(`{"jsonrpc":"2.0","method":"textDocument/didChange","params":{"textDocument":{"uri":"file:///a.toml","version":%d},"contentChanges":[{"text":"[project]\nname = %d\n"}]}}`, i+2, i))
		send(fmt.Sprintf(`{"jsonrpc":"2.0","id":%d,"method":"textDocument/hover","params":{"textDocument":{"uri":"file:///a.toml"},"position":{"line":1,"character":2}}}`, i+2))
		send(fmt.Sprintf(`{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":%d}}`, i+1))
	}
	must(t, ours.Close())
	select {
	case err := <-done:
		if err != ErrNoShutdown {
			t.Error(err)
		}
	case <-time.After(patience):
		t.Error("the session goes on without a client")
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// Many files are open side by side; what one includes goes and comes back while
// the job is open.
func TestManyFilesThatComeAndGo(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "parts.toml")
	good := strings.Replace(part, "widht", "length", 1)
	must(t, os.WriteFile(file, []byte(good), 0o666))
	c := start(t, related)
	text := strings.Replace(whole, "parts/100 % new.toml", "parts.toml", 1)
	var uris []string
	files := 200
	if testing.Short() {
		files = 40
	}
	for i := range files {
		uri := uriOf(clean(filepath.Join(dir, fmt.Sprintf("job %d.toml", i))))
		uris = append(uris, uri)
		if i%2 == 0 {
			c.open(uri, text)
		} else {
			c.open(uri, strings.Replace(good, "M1", fmt.Sprint("M", i), 1))
		}
	}
	first := c.all(uris...)
	if n := len(with(first[uris[0]], "")); n != 0 {
		t.Errorf("the job has %d faults: %s", n, said(first[uris[0]]))
	}
	for _, uri := range uris[1:] {
		c.close(uri)
	}
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	c.tell("workspace/didChangeWatchedFiles", `{"changes":[]}`)
	shown := func(want string) {
		t.Helper()
		for {
			p := c.next()
			if p.URI == uris[0] && strings.Contains(said(p.Diagnostics), want) {
				return
			}
		}
	}
	shown(`"parts.toml": there is no such file`)
	must(t, os.WriteFile(file, []byte(good), 0o666))
	c.tell("textDocument/didSave", `{"textDocument":{"uri":"`+uris[0]+`"}}`)
	shown("1. ")
	for _, was := range []string{"\x00\x01\xff\xfe binary", strings.Repeat("\xff", 5000), "\r\n\r\r\n[site]\r\n", "\uFEFF\uFEFFa = 1"} {
		c.open(uris[1], was)
		if list := c.of(uris[1]); len(list) == 0 {
			t.Errorf("%q shows nothing", was)
		}
	}
}

// A file of one huge line is answered soon.
func TestHugeLine(t *testing.T) {
	n := 10 << 20
	if testing.Short() {
		n = 1 << 20
	}
	text := "a = [" + strings.Repeat("\"−14 °🏠\", ", n/18) + "]\n[site]\nwind_sped = \"1 mph\"\n"
	begun := time.Now()
	c := start(t, related)
	const uri = "file:///nowhere/huge.toml"
	c.open(uri, text)
	if list := c.of(uri); len(list) == 0 {
		t.Error("nothing is shown")
	}
	c.replace(uri, "wind_sped", "wind_speed")
	c.of(uri)
	var out json.RawMessage
	c.must("textDocument/documentSymbol", `{"textDocument":{"uri":"`+uri+`"}}`, &out)
	c.must("textDocument/foldingRange", `{"textDocument":{"uri":"`+uri+`"}}`, &out)
	c.must("textDocument/hover", `{"textDocument":{"uri":"`+uri+`"},"position":{"line":0,"character":999999}}`, &out)
	t.Logf("%d MB in one line: %s", n>>20, time.Since(begun).Round(time.Millisecond))
}
