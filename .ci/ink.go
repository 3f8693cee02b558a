//go:build ignore

// Compares how a page is inked: a grey picture (binary PGM) against the upper
// part of a PNG of the same width, in a grid. Run by .ci/pdf.
package main

import (
	"bufio"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"os"
)

func main() {
	a, err := pgm(os.Args[1])
	stop(err)
	f, err := os.Open(os.Args[2])
	stop(err)
	b, err := png.Decode(f)
	stop(err)
	w, h := a.Bounds().Dx(), a.Bounds().Dy()
	if d := b.Bounds().Dx() - w; d < -1 || d > 1 || b.Bounds().Dy() < h-1 {
		stop(fmt.Errorf("the page is %d x %d, the drawing %v", w, h, b.Bounds()))
	}
	const columns, rows = 8, 6
	worst, sumA, sumB := 0.0, 0.0, 0.0
	for i := range columns {
		for k := range rows {
			cell := image.Rect(i*w/columns, k*h/rows, (i+1)*w/columns, (k+1)*h/rows)
			x, y := ink(a, cell), ink(b, cell)
			sumA, sumB = sumA+x, sumB+y
			worst = math.Max(worst, math.Abs(x-y))
		}
	}
	fmt.Printf("ink: page %.4f, drawing %.4f, farthest apart in a part %.4f\n", sumA/columns/rows, sumB/columns/rows, worst)
	if worst > 0.02 || math.Abs(sumA-sumB) > 0.05*sumB {
		stop(fmt.Errorf("the page is not inked as the drawing is"))
	}
}

// ink is how dark a part of a picture is, from 0 to 1.
func ink(m image.Image, r image.Rectangle) float64 {
	sum := 0.0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			red, green, blue, _ := m.At(x, y).RGBA()
			sum += 1 - (0.3*float64(red)+0.59*float64(green)+0.11*float64(blue))/0xFFFF
		}
	}
	return sum / float64(r.Dx()*r.Dy())
}

func pgm(path string) (*image.Gray, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	in := bufio.NewReader(f)
	var w, h, most int
	if _, err := fmt.Fscanf(in, "P5\n%d %d\n%d\n", &w, &h, &most); err != nil {
		return nil, err
	}
	m := image.NewGray(image.Rect(0, 0, w, h))
	_, err = io.ReadFull(in, m.Pix)
	return m, err
}

func stop(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
