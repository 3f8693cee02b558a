package job

import (
	"fmt"
	"strconv"
	"strings"

	"plumbrule/internal/source"
)

// Written is where the value of a key stands under that very key in the file of
// the job itself, so that a text put in its place changes this value. The error
// says why there is no such place: a pattern makes the value, another file holds
// it, or it is left out.
func (t *Tree) Written(key string) (source.Span, error) {
	parts, ok := SplitKey(key)
	if !ok {
		return source.Span{}, fmt.Errorf("the key %s cannot be read", key)
	}
	n := t.root.follow(parts)
	if n == nil {
		return source.Span{}, fmt.Errorf("%s is not written out under its own key: it comes from a pattern (such as like, count or wires), from a folder of equipment, or is left out", key)
	}
	at := n.at.Value
	if n.isTable() || n.isList() || !at.Known() || at.Text() == "" {
		return source.Span{}, fmt.Errorf("%s is no single value of a file", key)
	}
	if at.File != t.files[0] {
		return source.Span{}, fmt.Errorf("%s stands in %s, a file that the job includes, which other jobs may read too", key, at.File.Name)
	}
	return at, nil
}

// Replaced gives the text of the job's own file with another value in the place of
// a stated one; all else of it, comments and layout, stays. The value is one of
// Edits.Set: a text or a number. Errors are those of Written.
func (t *Tree) Replaced(key string, value any) (string, error) {
	at, err := t.Written(key)
	if err != nil {
		return "", err
	}
	var text string
	switch v := value.(type) {
	case string:
		text = strconv.Quote(v)
		if old := at.Text(); strings.HasPrefix(old, "'") && !strings.ContainsAny(v, "'\n") {
			text = "'" + v + "'"
		}
	case int:
		text = strconv.Itoa(v)
	case float64:
		text = strconv.FormatFloat(v, 'f', -1, 64)
		if !strings.Contains(text, ".") {
			text += ".0"
		}
	default:
		return "", fmt.Errorf("%s: a %T is not written", key, value)
	}
	whole := string(at.File.Text)
	return whole[:at.Start] + text + whole[at.End:], nil
}
