package editor

import (
	"bytes"

	"github.com/sourcegraph/jsonrpc2"

	"plumbrule/internal/format"
)

// layout lays a file out anew: the lines that change are replaced, in one
// stretch. A text that is no TOML stays as it is.
func layout(_ *Workspace, d *Document, _ FormattingParams) ([]TextEdit, error) {
	text, err := format.Text(d.Path, d.File.Text)
	if err != nil {
		return nil, refuse(jsonrpc2.CodeInvalidRequest, "what is no TOML is not laid out: %v", err)
	}
	was := d.File.Text
	if bytes.Equal(was, text) {
		return []TextEdit{}, nil
	}
	start, end := 0, 0
	for start < min(len(was), len(text)) && was[start] == text[start] {
		start++
	}
	start = bytes.LastIndexByte(was[:start], '\n') + 1
	for end < min(len(was), len(text))-start && was[len(was)-1-end] == text[len(text)-1-end] {
		end++
	}
	for end > 0 && !lineBegins(was, len(was)-end) { // whole lines, so that no character is cut
		end--
	}
	at := d.File.All()
	at.Start, at.End = start, len(was)-end
	return []TextEdit{{d.Range(at), string(text[start : len(text)-end])}}, nil
}

func lineBegins(text []byte, at int) bool { return at == 0 || text[at-1] == '\n' }
