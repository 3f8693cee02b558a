package codebook

import (
	"fmt"
	"testing"

	"plumbrule/internal/source"
)

// ruleText is a check of ordinary size, for measuring.
const ruleText = `title = "a"
severity = "correction"
each = "string"
when = 'string.modules > 3 && site.record_low < q("20 degF")'
measure = "1.25 * string.array.module.voc * string.modules"
at_most = 'string.modules > 2 ? q("600 V") : q("1000 V")'
because = "x"
[[cite]]
code = "NEC"
editions = ["2020"]
section = "690.7"
[[example]]
job = "barn"
expect = "met"
[[example]]
job = "barn"
expect = "met"
`

func BenchmarkNew(b *testing.B) {
	for _, n := range []int{1, 100} {
		files := make([]*source.File, n)
		for i := range files {
			files[i] = source.NewFile(fmt.Sprintf("electrical/x%d.toml", i), []byte(ruleText))
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := New(files); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
