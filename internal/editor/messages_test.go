package editor

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/textproto"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"plumbrule/internal/codebook"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

// tape is a stream that says what it was given, then ends; what is written to it
// is kept.
type tape struct {
	io.Reader
	said syncBuffer
}

func (s *tape) Write(p []byte) (int, error) { return s.said.Write(p) }
func (s *tape) Close() error                { return nil }

// framed is each line as a message of its own.
func framed(lines string) string {
	var b strings.Builder
	for _, l := range strings.Split(lines, "\n") {
		fmt.Fprintf(&b, "Content-Length: %d\r\n\r\n%s", len(l), l)
	}
	return b.String()
}

// FuzzMessages sends any bytes, and any lines as messages: the server ends with the
// stream, without a defect, and what it says is whole.
func FuzzMessages(f *testing.F) {
	const hello = `{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{},"rootUri":null}}` + "\n" + `{"jsonrpc":"2.0","method":"initialized","params":{}}` + "\n"
	const open = `{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{"textDocument":{"uri":"file:///job.toml","languageId":"toml","version":1,"text":"[project]\nname = \"x\"\n"}}}` + "\n"
	ask := func(method, more string) string {
		return `{"jsonrpc":"2.0","id":2,"method":"textDocument/` + method + `","params":{"textDocument":{"uri":"file:///job.toml"},"position":{"line":1,"character":2}` + more + `}}` + "\n"
	}
	const bye = `{"jsonrpc":"2.0","id":9,"method":"shutdown"}` + "\n" + `{"jsonrpc":"2.0","method":"exit"}`
	f.Add(hello + open + ask("hover", "") + ask("completion", "") + ask("rename", `,"newName":"y"`) + bye)
	f.Add(hello + open + `{"jsonrpc":"2.0","method":"textDocument/didChange","params":{"textDocument":{"uri":"file:///job.toml","version":2},"contentChanges":[{"range":{"start":{"line":0,"character":3},"end":{"line":9,"character":-1}},"text":"z"}]}}` + "\n" + bye)
	f.Add(hello + `{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":1}}` + "\n" + `{"jsonrpc":"2.0","id":null,"method":"textDocument/hover","params":[]}` + "\n" + `[1,2]` + "\n" + `{}`)
	f.Add(bye)
	f.Add("Content-Length: 99999999999\r\n\r\n{}")
	f.Add("Content-Length: -1\r\n\r\n")
	files := fstest.MapFS{"electrical/fuse.toml": {Data: []byte("title = \"Fuse\"\nseverity = \"correction\"\neach = \"overcurrent\"\nmeasure = \"overcurrent.rating\"\nat_most = 'q(\"20 A\")'\nbecause = \"x\"\n[[cite]]\ncode = \"common practice\"\nsection = \"x\"\n")}}
	book, err := codebook.LoadProven(files)
	if err != nil {
		f.Fatal(err)
	}
	tables, err := table.LoadProven(rules.FS, "tables")
	if err != nil {
		f.Fatal(err)
	}
	load := func() (*codebook.Codebook, *table.Set, error) { return book, tables, nil }
	f.Fuzz(func(t *testing.T, lines string) {
		for _, sent := range []string{framed(lines), lines} {
			s, log := &tape{Reader: strings.NewReader(sent)}, &syncBuffer{}
			done := make(chan error, 1)
			go func() { done <- Serve(context.Background(), s, Options{Load: load, Log: log}) }()
			select {
			case err := <-done:
				if err != nil && !errors.Is(err, ErrNoShutdown) {
					t.Errorf("the session ends with %v", err)
				}
			case <-time.After(patience):
				t.Fatal("the session does not end with its stream")
			}
			if strings.Contains(log.String(), "defect") {
				t.Errorf("the log says:\n%s", log)
			}
			wholeMessages(t, s.said.String())
		}
	})
}

// wholeMessages holds that what a server said is messages and nothing else.
func wholeMessages(t *testing.T, said string) {
	t.Helper()
	for r := bufio.NewReader(strings.NewReader(said)); ; {
		head, err := textproto.NewReader(r).ReadMIMEHeader()
		if errors.Is(err, io.EOF) && len(head) == 0 {
			return
		}
		n, wrong := strconv.Atoi(head.Get("Content-Length"))
		if err != nil || wrong != nil {
			t.Fatalf("no head of a message: %v, %v", head, err)
		}
		body := make([]byte, n)
		if _, err := io.ReadFull(r, body); err != nil || !json.Valid(bytes.TrimSpace(body)) {
			t.Fatalf("no message: %q, %v", body, err)
		}
	}
}
