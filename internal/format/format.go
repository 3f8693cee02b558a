// Package format lays a TOML file out in one way: the equals signs of keys that
// stand together in one column, but for those that open a list of rows, one empty line before each table, no space at
// the ends of lines. It changes space alone: keys, values and comments are what
// they were, byte for byte, and so are the line ends of the file.
package format

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"plumbrule/internal/source"
)

// Text lays a file out. The error is source.Faults where the text is no TOML;
// then nothing is changed.
func Text(name string, text []byte) ([]byte, error) {
	f := source.NewFile(name, text)
	if _, err := source.NewIndex(f); err != nil {
		return text, err
	}
	mark := text[:len(text)-len(f.Text)] // a byte order mark, which the file had
	lines := lay(statements(string(f.Text)))
	end := "\n"
	if 2*bytes.Count(f.Text, []byte("\r\n")) > bytes.Count(f.Text, []byte("\n")) {
		end = "\r\n"
	}
	var out bytes.Buffer
	out.Write(mark)
	for _, line := range lines {
		out.WriteString(line)
		out.WriteString(end)
	}
	return out.Bytes(), nil
}

// statement is one line of the file, or several where a value goes over them.
type statement struct {
	kind    kind
	key     string   // of a pair; the brackets and all between them of a header
	value   []string // of a pair, line by line; the first as it stands, the others with their indent
	fixed   []bool   // which of those lines begin inside a text, where space counts
	equals  int      // where its equals sign stood
	column  int      // where the first line of the value began
	comment string   // behind it, or the whole of a comment line
	at      int      // the column where the comment began
}

type kind uint8

const (
	empty kind = iota
	comment
	header
	pair
)

// statements takes a text that is TOML apart.
func statements(text string) []statement {
	var out []statement
	for at := 0; at < len(text); {
		r := &reader{text: text, at: at}
		out = append(out, r.statement())
		at = r.at
	}
	return out
}

type reader struct {
	text string
	at   int
}

func (r *reader) statement() statement {
	start := r.at
	r.spaces()
	var s statement
	begun := r.at
	switch c := r.peek(); {
	case c == '\n' || c == '\r':
	case c == '#':
		s.kind = comment
	case c == '[':
		s.kind = header
		for r.peek() == '[' {
			r.at++
		}
		r.key("]")
		for r.peek() == ']' || r.peek() == ' ' || r.peek() == '\t' {
			r.at++
		}
		s.key = tidyHeader(r.text[begun:r.at])
	default:
		s.kind = pair
		r.key("=")
		s.key = strings.TrimRight(r.text[begun:r.at], " \t")
		s.equals = width(r.text[start:r.at])
		r.at++
		r.spaces()
		s.column = width(r.text[start:r.at])
		s.value, s.fixed = r.value()
	}
	r.spaces()
	if r.peek() == '#' {
		line := strings.LastIndexByte(r.text[:r.at], '\n') + 1
		begun := r.at
		for r.at < len(r.text) && r.text[r.at] != '\n' {
			r.at++
		}
		s.comment, s.at = strings.TrimRight(r.text[begun:r.at], " \t\r"), width(r.text[line:begun])
	}
	for r.at < len(r.text) && r.text[r.at] != '\n' {
		r.at++
	}
	r.at++
	return s
}

// peek is the byte to be read next; a line break at the end.
func (r *reader) peek() byte {
	if r.at < len(r.text) {
		return r.text[r.at]
	}
	return '\n'
}

func (r *reader) spaces() {
	for r.peek() == ' ' || r.peek() == '\t' {
		r.at++
	}
}

// key passes over a key up to the sign behind it.
func (r *reader) key(until string) {
	for r.at < len(r.text) && r.peek() != until[0] && r.peek() != '\n' {
		if c := r.peek(); c == '"' || c == '\'' {
			r.quoted()
		} else {
			r.at++
		}
	}
}

// quoted passes over a text in quotes of any kind.
func (r *reader) quoted() {
	mark := r.text[r.at : r.at+1]
	if triple := strings.Repeat(mark, 3); strings.HasPrefix(r.text[r.at:], triple) {
		for r.at += 3; r.at < len(r.text) && !strings.HasPrefix(r.text[r.at:], triple); r.at++ {
			if r.peek() == '\\' && mark == `"` {
				r.at++
			}
		}
		for r.at = min(r.at+3, len(r.text)); r.peek() == mark[0]; r.at++ {
		}
		return
	}
	for r.at++; r.at < len(r.text) && r.peek() != mark[0] && r.peek() != '\n'; r.at++ {
		if r.peek() == '\\' && mark == `"` {
			r.at++
		}
	}
	r.at = min(r.at+1, len(r.text))
}

// value reads a value with all its lines.
func (r *reader) value() (lines []string, fixed []bool) {
	begun, depth := r.at, 0
	inText := false
	line := func(next bool) {
		text := strings.TrimSuffix(r.text[begun:r.at], "\r")
		if !next {
			text = strings.TrimRight(text, " \t\r")
		}
		lines, fixed = append(lines, text), append(fixed, inText)
		begun, inText = r.at+1, next
	}
	for r.at < len(r.text) {
		switch c := r.peek(); {
		case c == '"' || c == '\'':
			end := *r
			end.quoted()
			for r.at < end.at {
				if r.peek() == '\n' {
					line(true)
				}
				r.at++
			}
			continue
		case c == '[' || c == '{':
			depth++
		case c == ']' || c == '}':
			depth--
		case c == '#' && depth > 0:
			for r.peek() != '\n' {
				r.at++
			}
			continue
		case c == '#':
			line(false)
			return lines, fixed
		case c == '\n' && depth > 0:
			line(false)
		case c == '\n':
			line(false)
			return lines, fixed
		}
		r.at++
	}
	line(false)
	return lines, fixed
}

// tidyHeader takes the space at the ends out of brackets.
func tidyHeader(text string) string {
	text = strings.TrimRight(text, " \t")
	inner := strings.TrimRight(strings.TrimLeft(text, "["), "]")
	brackets := (len(text) - len(inner)) / 2
	return strings.Repeat("[", brackets) + strings.Trim(inner, " \t") + strings.Repeat("]", brackets)
}

func width(text string) int { return utf8.RuneCountInString(text) }

// lay writes statements as lines.
func lay(list []statement) []string {
	var out []string
	list = spaced(list)
	for i := 0; i < len(list); {
		n := i
		for n < len(list) && list[n].kind == pair && !list[n].opens() {
			n++
		}
		if n == i && list[i].kind == pair {
			out = append(out, list[i].lines(0)...)
			i++
			continue
		}
		if n == i {
			out = append(out, list[i].line())
			i++
			continue
		}
		column := columnOf(list[i:n])
		for _, s := range list[i:n] {
			out = append(out, s.lines(column)...)
		}
		i = n
	}
	return out
}

// opens reports whether a pair only opens a list, whose rows stand below it: what
// it holds is no value beside others, and it stands in no column with them.
func (s statement) opens() bool {
	first, _, _ := strings.Cut(s.value[0], "#")
	first = strings.TrimSpace(first)
	return len(s.value) > 1 && (first == "[" || first == "{")
}

// columnOf is the width to which keys that stand together are filled up: that of
// the longest. Where most of them stand in a column already and a few longer ones
// stick out, it is that of the longest which does not.
func columnOf(block []statement) int {
	widest, count, filled := 0, map[int]int{}, map[int]bool{}
	for _, s := range block {
		widest = max(widest, width(s.key))
		count[s.equals]++
		filled[s.equals] = filled[s.equals] || s.equals > width(s.key)+1
	}
	for at, n := range count {
		if 2*n <= len(block) || !filled[at] {
			continue
		}
		widest = 0
		for _, s := range block {
			if width(s.key) < at {
				widest = max(widest, width(s.key))
			}
		}
	}
	return widest
}

// spaced has one empty line where there were several, none at the start and the
// end, and one before each header with the comments that stand right above it.
func spaced(list []statement) []statement {
	var out []statement
	for _, s := range list {
		if s.kind == empty && (len(out) == 0 || out[len(out)-1].kind == empty) {
			continue
		}
		if s.kind == header {
			above := len(out)
			for above > 0 && out[above-1].kind == comment {
				above--
			}
			if above > 0 && out[above-1].kind != empty {
				out = append(out[:above], append([]statement{{}}, out[above:]...)...)
			}
		}
		out = append(out, s)
	}
	for len(out) > 0 && out[len(out)-1].kind == empty {
		out = out[:len(out)-1]
	}
	return out
}

// line writes a header, a comment or an empty line.
func (s statement) line() string {
	if s.kind == comment {
		return s.comment
	}
	return s.with(s.key)
}

// lines writes a pair with its key filled up to a width.
func (s statement) lines(column int) []string {
	first := s.key + strings.Repeat(" ", max(column-width(s.key), 0)) + " = "
	shift := width(first) - s.column
	lines := []string{first + s.value[0]}
	for i, line := range s.value[1:] {
		if !s.fixed[i+1] {
			line = shifted(line, s.column, shift)
		}
		lines = append(lines, line)
	}
	last := len(lines) - 1
	lines[last] = s.with(lines[last])
	return lines
}

// shifted moves a further line of a value as far as the first has moved, where
// it stood below it.
func shifted(line string, column, by int) string {
	indent := len(line) - len(strings.TrimLeft(line, " "))
	switch {
	case indent < column || indent == len(line):
		return line
	case by > 0:
		return strings.Repeat(" ", by) + line
	}
	return line[-by:]
}

// with puts the comment behind a line: where it stood, if that is free, else two
// spaces behind.
func (s statement) with(line string) string {
	if s.comment == "" {
		return line
	}
	return line + strings.Repeat(" ", max(s.at-width(line), 2)) + s.comment
}
