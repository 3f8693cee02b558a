//go:build !race

package review

const keyStep = 1
