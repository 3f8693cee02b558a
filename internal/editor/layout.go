package editor

import (
	"bytes"
	"strings"

	"github.com/sourcegraph/jsonrpc2"

	"plumbrule/internal/format"
)

// layout lays a file out anew, an edit a line, so that what else the client keeps
// at a line stays there. A text that is no TOML stays as it is.
func layout(_ *Workspace, d *Document, _ FormattingParams) ([]TextEdit, error) {
	text, err := format.Text(d.Path, d.File.Text)
	if err != nil {
		return nil, refuse(jsonrpc2.CodeInvalidRequest, "what is no TOML is not laid out: %v", err)
	}
	edits := []TextEdit{}
	put := func(start, end int, text string) {
		at := d.File.All()
		at.Start, at.End = start, end
		edits = append(edits, TextEdit{d.Range(at), text})
	}
	was, is := bytes.SplitAfter(d.File.Text, []byte("\n")), bytes.SplitAfter(text, []byte("\n"))
	// Both have the same lines, but for empty ones and for space in them.
	start := 0
	for len(was) > 0 || len(is) > 0 {
		switch {
		case len(was) > 0 && len(is) > 0 && alike(was[0], is[0]):
			if !bytes.Equal(was[0], is[0]) {
				put(start, start+len(was[0]), string(is[0]))
			}
			start += len(was[0])
			was, is = was[1:], is[1:]
		case len(was) > 0 && (len(is) == 0 || blankLine(was[0])):
			if len(was[0]) > 0 {
				put(start, start+len(was[0]), "")
			}
			start += len(was[0])
			was = was[1:]
		default:
			put(start, start, string(is[0]))
			is = is[1:]
		}
	}
	return edits, nil
}

// alike reports whether two lines differ in space alone.
func alike(a, b []byte) bool {
	return strings.Join(strings.Fields(strings.ReplaceAll(string(a), "=", " = ")), "") == strings.Join(strings.Fields(strings.ReplaceAll(string(b), "=", " = ")), "")
}

func blankLine(line []byte) bool { return len(bytes.TrimSpace(line)) == 0 }
