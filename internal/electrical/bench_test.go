package electrical

import (
	"testing"

	"plumbrule/internal/quantity"
)

func BenchmarkNEC(b *testing.B) {
	set := tables(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NEC("2023", set); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAmpacity(b *testing.B) {
	c, ten, in := edition(b, "2023"), size(b, "10"), onTerms()
	in.Ambient, in.CurrentCarrying = 45, 6
	b.ReportAllocs()
	for b.Loop() {
		if _, err := c.Ampacity(ten, in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkConductor(b *testing.B) {
	c, in := edition(b, "2023"), ConductorInput{Maximum: 60, Continuous: true, Conditions: onTerms(), Overcurrent: 80}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := c.Conductor(in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkColdVoltage(b *testing.B) {
	c := edition(b, "2023")
	b.ReportAllocs()
	for b.Loop() {
		f, err := c.ColdByTable(-12)
		if err != nil {
			b.Fatal(err)
		}
		if _, err = c.ColdVoltage(Series{49.5, 12, f}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkConductorWork(b *testing.B) {
	c := edition(b, "2023")
	got, err := c.Conductor(ConductorInput{Maximum: 14.35, Continuous: true, Conditions: onTerms()})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if len(got.Work(quantity.US)) == 0 {
			b.Fatal("no calculation")
		}
	}
}
