package source

import (
	"strings"
	"unicode/utf8"
)

// Inside is the place of character n, counted from 0, of the text that the
// TOML string at value stands for, up to the end of the value. It knows how
// each of the four kinds of string is written: quotes, escapes, the line break
// after three quotes and line breaks that a backslash takes out. A character
// beyond the text is its closing quotes.
func Inside(value Span, n int) Span {
	raw := value.Text()
	quotes, basic := 1, strings.HasPrefix(raw, `"`)
	if strings.HasPrefix(raw, `"""`) || strings.HasPrefix(raw, `'''`) {
		quotes = 3
	}
	i, end := min(quotes, len(raw)), max(len(raw)-quotes, 0)
	if quotes == 3 {
		i += lineBreak(raw[i:])
	}
	for i < end {
		width, stands := character(raw[i:end], basic)
		if stands && n == 0 {
			break
		}
		if stands {
			n--
		}
		i += width
	}
	return Span{File: value.File, Start: value.Start + min(i, len(raw)), End: value.End}
}

// lineBreak is the length of the line break that a text begins with, or 0.
func lineBreak(text string) int {
	switch {
	case strings.HasPrefix(text, "\r\n"):
		return 2
	case strings.HasPrefix(text, "\n"):
		return 1
	}
	return 0
}

// character is the length of what begins a text inside quotes, and whether it
// stands for a character: a backslash at the end of a line takes out all white
// space up to the next character.
func character(text string, basic bool) (width int, stands bool) {
	if !basic || text[0] != '\\' {
		_, width = utf8.DecodeRuneInString(text)
		return width, true
	}
	rest := strings.TrimLeft(text[1:], " \t")
	if rest == "" || lineBreak(rest) > 0 {
		return len(text) - len(strings.TrimLeft(rest, " \t\r\n")), false
	}
	width = map[byte]int{'x': 4, 'u': 6, 'U': 10}[text[1]]
	if width == 0 {
		width = 2
	}
	return min(width, len(text)), true
}
