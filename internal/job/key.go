package job

import (
	"strconv"
	"strings"
)

// Join adds a part to a key. A key says the place of a value in the job by
// names: "site.record_low", "string.S1.modules", "array.south.lug.2.row". A
// part that is not a plain word stands in quotes; things without a name are
// counted from 1.
func Join(key, part string) string {
	if !plainWord(part) {
		part = strconv.Quote(part)
	}
	if key == "" {
		return part
	}
	return key + "." + part
}

// SplitKey parts a key again; false when its quotes do not close.
func SplitKey(key string) ([]string, bool) {
	var parts []string
	for rest := key; ; {
		part, after, ok := cutPart(rest)
		if !ok {
			return nil, false
		}
		parts = append(parts, part)
		if after == "" {
			return parts, true
		}
		if after[0] != '.' {
			return nil, false
		}
		rest = after[1:]
	}
}

func cutPart(text string) (part, after string, ok bool) {
	if !strings.HasPrefix(text, `"`) {
		end := strings.IndexByte(text, '.')
		if end < 0 {
			end = len(text)
		}
		return text[:end], text[end:], end > 0
	}
	quoted, err := strconv.QuotedPrefix(text)
	if err != nil {
		return "", "", false
	}
	part, err = strconv.Unquote(quoted)
	return part, text[len(quoted):], err == nil
}

// plainWord reports whether a part needs no quotes.
func plainWord(part string) bool {
	if part != "" && strings.IndexFunc(part, uncommon) < 0 {
		return true
	}
	return part != "" && !strings.ContainsAny(part, ".\" \t\n\r\\") && strconv.Quote(part) == `"`+part+`"`
}

// elementKey is the key of element i of a list of tables: by its name, or by
// its number where it has none.
func elementKey(f *Field, list string, i int, name string) string {
	if !f.Table.Named() || name == "" {
		name = strconv.Itoa(i + 1)
	}
	return Join(list, name)
}

// uncommon are the signs other than those that nearly every key has.
func uncommon(r rune) bool {
	return (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '_' && (r < 'A' || r > 'Z')
}
