package pdf

import (
	"strings"
)

// Block is one piece of flowing text.
type Block struct {
	Kind  Kind
	Level int      // of a heading, from 1; of an item, from 0
	Text  string   // in Markdown: **bold**, and a backslash before a sign that stands for itself
	Small bool     // small print
	Head  []string // of a table
	Right []bool   // the columns of a table that are set to the right
	Rows  [][]string
}

// Kind is what a block is.
type Kind int

// The kinds of blocks.
const (
	Paragraph Kind = iota
	Heading
	Item
	Table
	Rule
)

// Markdown reads the part of Markdown that papers are written in: headings,
// paragraphs, lists, tables with <br> in their cells, rules, **bold**, and
// <small> around a paragraph. What else a text has is printed as it stands.
func Markdown(text string) []Block {
	var out []Block
	var para []string
	end := func() {
		if len(para) == 0 {
			return
		}
		s := strings.Join(para, " ")
		para = nil
		b := Block{Text: s}
		if inner, ok := strings.CutPrefix(s, "<small>"); ok {
			b.Text, b.Small = strings.TrimSuffix(inner, "</small>"), true
		}
		out = append(out, b)
	}
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	for i := 0; i < len(lines); i++ {
		line := strings.TrimRight(lines[i], " \t")
		trimmed := strings.TrimLeft(line, " ")
		level := len(trimmed) - len(strings.TrimLeft(trimmed, "#"))
		switch {
		case trimmed == "":
			end()
		case level > 0 && level <= 6 && strings.HasPrefix(trimmed[level:], " "):
			end()
			out = append(out, Block{Kind: Heading, Level: level, Text: strings.TrimSpace(trimmed[level:])})
		case trimmed == "---":
			end()
			out = append(out, Block{Kind: Rule})
		case strings.HasPrefix(trimmed, "- "):
			end()
			item := []string{trimmed[2:]}
			for i+1 < len(lines) && strings.HasPrefix(lines[i+1], "  ") && !strings.HasPrefix(strings.TrimSpace(lines[i+1]), "- ") && strings.TrimSpace(lines[i+1]) != "" {
				i++
				item = append(item, strings.TrimSpace(lines[i]))
			}
			out = append(out, Block{Kind: Item, Level: (len(line) - len(trimmed)) / 2, Text: strings.Join(item, " ")})
		case strings.HasPrefix(trimmed, "|") && i+1 < len(lines) && strings.HasPrefix(strings.TrimSpace(lines[i+1]), "| ---"):
			end()
			t := Block{Kind: Table, Head: cells(trimmed)}
			for _, c := range cells(strings.TrimSpace(lines[i+1])) {
				t.Right = append(t.Right, strings.HasSuffix(c, ":"))
			}
			for i++; i+1 < len(lines) && strings.HasPrefix(strings.TrimSpace(lines[i+1]), "|"); i++ {
				t.Rows = append(t.Rows, cells(strings.TrimSpace(lines[i+1])))
			}
			out = append(out, t)
		default:
			para = append(para, trimmed)
		}
	}
	end()
	return out
}

// cells parts a row of a table at the bars that no backslash stands before.
func cells(row string) []string {
	row = strings.TrimSuffix(strings.TrimPrefix(row, "|"), "|")
	var out []string
	start := 0
	for i := 0; i < len(row); i++ {
		switch row[i] {
		case '\\':
			i++
		case '|':
			out = append(out, strings.TrimSpace(row[start:i]))
			start = i + 1
		}
	}
	return append(out, strings.TrimSpace(row[start:]))
}

// span is a run of text in one weight.
type span struct {
	text string
	bold bool
}

// spans reads the inside of a block: lines, each of runs.
func spans(text string) [][]span {
	lines := [][]span{nil}
	bold := false
	var b strings.Builder
	end := func() {
		if b.Len() > 0 {
			last := len(lines) - 1
			lines[last] = append(lines[last], span{b.String(), bold})
			b.Reset()
		}
	}
	for i := 0; i < len(text); i++ {
		switch {
		case text[i] == '\\' && i+1 < len(text) && strings.IndexByte("\\`*_{}[]()<>#+-.!|~&$:=\"'", text[i+1]) >= 0:
			i++
			b.WriteByte(text[i])
		case strings.HasPrefix(text[i:], "**"):
			end()
			bold = !bold
			i++
		case strings.HasPrefix(text[i:], "<br>"):
			end()
			lines = append(lines, nil)
			i += 3
		default:
			b.WriteByte(text[i])
		}
	}
	end()
	return lines
}
