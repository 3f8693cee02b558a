package editor

import (
	"fmt"
	"testing"
)

// BenchmarkValue is the time from a changed value of the barn to its findings.
func BenchmarkValue(b *testing.B) {
	c := start(b, related)
	uri := c.demo("barn-faulty")
	c.of(uri)
	was := `"105 mph"`
	i := 0
	for b.Loop() {
		i++
		now := fmt.Sprintf(`"%d mph"`, 106+i%2)
		c.replace(uri, `wind_speed          = `+was, `wind_speed          = `+now)
		was = now
		c.of(uri)
	}
}

// BenchmarkRemark is the time from a changed remark to the same findings.
func BenchmarkRemark(b *testing.B) {
	c := start(b, related)
	uri := c.demo("barn-faulty")
	c.of(uri)
	const remark = "# The feed barn at Larkmoor"
	was := remark
	i := 0
	for b.Loop() {
		i++
		now := fmt.Sprintf("%s %d", remark, i)
		c.replace(uri, was+" as first", now+" as first")
		was = now
		c.of(uri)
	}
}
