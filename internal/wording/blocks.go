package wording

import (
	"regexp"
	"strconv"
)

var aNumber = regexp.MustCompile(`\d+`)

// Blocks draws runs of Ranges together that differ in one number alone: "west
// line 1 foot 1 to 8" and the same of lines 2 to 4 become "west line 1 to 4 foot
// 1 to 8", that is those feet of each of those lines.
func Blocks(names []string) []string {
	var out []string
	for i := 0; i < len(names); {
		at, j := -1, i
		for ; j+1 < len(names); j++ {
			k := stepsAt(names[j], names[j+1])
			if k < 0 || at >= 0 && k != at {
				break
			}
			at = k
		}
		if j-i < 2 {
			out = append(out, names[i])
			i++
			continue
		}
		first, last := aNumber.FindAllStringIndex(names[i], -1)[at], aNumber.FindAllString(names[j], -1)[at]
		out = append(out, names[i][:first[1]]+" to "+last+names[i][first[1]:])
		i = j + 1
	}
	return out
}

// stepsAt is which number of a name is one more in the next name, -1 where the
// two differ otherwise.
func stepsAt(name, next string) int {
	if aNumber.ReplaceAllString(name, "#") != aNumber.ReplaceAllString(next, "#") {
		return -1
	}
	a, b := aNumber.FindAllString(name, -1), aNumber.FindAllString(next, -1)
	at := -1
	for i := range a {
		if a[i] == b[i] {
			continue
		}
		from, err := strconv.Atoi(a[i])
		if at >= 0 || err != nil || strconv.Itoa(from+1) != b[i] {
			return -1
		}
		at = i
	}
	return at
}
