package editor

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"log"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/sourcegraph/jsonrpc2"

	"plumbrule/internal/codebook"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

const jobs = "../../testdata/jobs"

// patience is how long a test waits for what must come; a slow machine takes
// seconds for the first review.
const patience = 20 * time.Second

// loadRules reads the rules once for all tests.
var loadRules = freshRules()

func freshRules() func() (*codebook.Codebook, error) {
	return sync.OnceValues(func() (*codebook.Codebook, error) { return codebook.LoadProven(rules.FS) })
}

func load() (*codebook.Codebook, *table.Set, error) {
	book, err := loadRules()
	if err != nil {
		return nil, nil, err
	}
	tables, err := table.LoadProven(rules.FS, "tables")
	return book, tables, err
}

// client is the other end of a server.
type client struct {
	t       testing.TB
	conn    *jsonrpc2.Conn
	pipe    net.Conn
	shown   chan PublishDiagnostics
	asked   chan string // methods that the server called
	done    chan error  // what Serve gave
	log     *syncBuffer
	version map[string]int
	text    map[string]string
}

// syncBuffer may be written to and read side by side.
type syncBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (b *syncBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.b.Write(p)
}

func (b *syncBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.b.String()
}

// connect starts a server and gives a client that has not initialized it.
func connect(t testing.TB, load func() (*codebook.Codebook, *table.Set, error)) *client {
	t.Helper()
	ours, theirs := net.Pipe()
	c := &client{t: t, pipe: ours, shown: make(chan PublishDiagnostics, 1000), asked: make(chan string, 10), done: make(chan error, 1),
		log: &syncBuffer{}, version: map[string]int{}, text: map[string]string{}}
	go func() {
		c.done <- Serve(context.Background(), theirs, Options{Load: load, Version: "test", Log: c.log})
	}()
	quiet := log.New(&syncBuffer{}, "", 0)
	c.conn = jsonrpc2.NewConn(context.Background(), jsonrpc2.NewBufferedStream(ours, codec{quiet}),
		jsonrpc2.HandlerWithError(func(_ context.Context, _ *jsonrpc2.Conn, req *jsonrpc2.Request) (any, error) {
			if req.Method != "textDocument/publishDiagnostics" {
				c.asked <- req.Method
				return nil, nil
			}
			var p PublishDiagnostics
			if err := json.Unmarshal(*req.Params, &p); err != nil {
				return nil, err
			}
			c.shown <- p
			return nil, nil
		}), jsonrpc2.SetLogger(quiet))
	t.Cleanup(func() { c.conn.Close() })
	return c
}

// start gives a client of a server that is ready.
func start(t testing.TB, capabilities string) *client {
	t.Helper()
	c := connect(t, load)
	c.initialize(capabilities)
	return c
}

const related = `{"textDocument":{"publishDiagnostics":{"relatedInformation":true}}}`

func (c *client) initialize(capabilities string) Initialized {
	c.t.Helper()
	var got Initialized
	c.must("initialize", `{"processId":null,"rootUri":null,"capabilities":`+capabilities+`}`, &got)
	c.tell("initialized", "{}")
	return got
}

// call asks a question; params is JSON.
func (c *client) call(method, params string, result any) error {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	return c.conn.Call(ctx, method, json.RawMessage(params), result)
}

func (c *client) must(method, params string, result any) {
	c.t.Helper()
	if err := c.call(method, params, result); err != nil {
		c.t.Fatalf("%s: %v", method, err)
	}
}

// refused asks a question that must be answered with an error of a code.
func (c *client) refused(code int64, method, params string) {
	c.t.Helper()
	err := c.call(method, params, nil)
	var refusal *jsonrpc2.Error
	if !errors.As(err, &refusal) || refusal.Code != code {
		c.t.Errorf("%s: %v, expected an error of code %d", method, err, code)
	}
}

func (c *client) tell(method, params string) {
	c.t.Helper()
	if err := c.conn.Notify(context.Background(), method, json.RawMessage(params)); err != nil {
		c.t.Fatalf("%s: %v", method, err)
	}
}

func (c *client) notify(method string, params any) {
	c.t.Helper()
	data, err := json.Marshal(params)
	if err != nil {
		c.t.Fatal(err)
	}
	c.tell(method, string(data))
}

func (c *client) open(uri, text string) {
	c.t.Helper()
	c.version[uri]++
	c.text[uri] = text
	var p DidOpen
	p.TextDocument.URI, p.TextDocument.Version, p.TextDocument.Text = uri, c.version[uri], text
	c.notify("textDocument/didOpen", p)
}

// replace puts a text in the place of the only other in a document, as typing
// does it.
func (c *client) replace(uri, old, now string) {
	c.t.Helper()
	text := c.text[uri]
	if strings.Count(text, old) != 1 {
		c.t.Fatalf("%q stands %d times in %s", old, strings.Count(text, old), uri)
	}
	start := strings.Index(text, old)
	r := newLines([]byte(text), false, 0).Range(start, start+len(old))
	c.version[uri]++
	c.text[uri] = strings.Replace(text, old, now, 1)
	p := DidChange{ContentChanges: []ContentChange{{&r, now}}}
	p.TextDocument.URI, p.TextDocument.Version = uri, c.version[uri]
	c.notify("textDocument/didChange", p)
}

func (c *client) close(uri string) {
	c.t.Helper()
	c.notify("textDocument/didClose", InDocument{TextDocument{uri}})
}

// next is the next that is shown of any file.
func (c *client) next() PublishDiagnostics {
	c.t.Helper()
	select {
	case p := <-c.shown:
		if p.Diagnostics == nil {
			c.t.Errorf("%s: no list of diagnostics, which clears nothing", p.URI)
		}
		return p
	case <-time.After(patience):
		c.t.Fatalf("nothing is shown; the log says:\n%s", c.log)
		return PublishDiagnostics{}
	}
}

// of waits for what is shown of the present text of a file.
func (c *client) of(uri string) []Diagnostic {
	c.t.Helper()
	return c.all(uri)[uri]
}

// all waits for what is shown of the present texts of files, each once.
func (c *client) all(uris ...string) map[string][]Diagnostic {
	c.t.Helper()
	out := map[string][]Diagnostic{}
	for len(out) < len(uris) {
		p := c.next()
		if !slices.Contains(uris, p.URI) {
			continue
		}
		if p.Version == nil {
			c.t.Fatalf("%s is shown without a version", p.URI)
		}
		if *p.Version == c.version[p.URI] {
			out[p.URI] = p.Diagnostics
		}
	}
	return out
}

// quiet wants nothing to be shown for a while, in which an answer comes back.
func (c *client) quiet() {
	c.t.Helper()
	time.Sleep(50 * time.Millisecond)
	c.refused(jsonrpc2.CodeMethodNotFound, "no/such", "{}")
	select {
	case p := <-c.shown:
		c.t.Errorf("%s is shown with %d diagnostics", p.URI, len(p.Diagnostics))
	default:
	}
}

// demo opens a demo job.
func (c *client) demo(name string) (uri string) {
	c.t.Helper()
	path, err := filepath.Abs(filepath.Join(jobs, name+".toml"))
	if err != nil {
		c.t.Fatal(err)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		c.t.Fatal(err)
	}
	uri = uriOf(clean(path))
	c.open(uri, string(text))
	return uri
}

// clean is the path of a file as the server knows it.
func clean(path string) string { return pathOf(uriOf(filepath.ToSlash(path))) }

// lineOf is the line, from 0, of a document that begins so.
func (c *client) lineOf(uri, beginning string) int {
	for i, line := range strings.Split(c.text[uri], "\n") {
		if strings.HasPrefix(line, beginning) {
			return i
		}
	}
	c.t.Fatalf("no line of %s begins with %q", uri, beginning)
	return -1
}

// with picks the diagnostics of a code.
func with(list []Diagnostic, code string) []Diagnostic {
	return slices.DeleteFunc(slices.Clone(list), func(d Diagnostic) bool { return d.Code != code })
}

// said are the messages, for what a test prints.
func said(list []Diagnostic) string {
	var out []string
	for _, d := range list {
		out = append(out, d.Message)
	}
	return strings.Join(out, "\n")
}
