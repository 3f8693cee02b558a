//go:build race

package review

// keyStep takes every so many-th key in the removal test: the race detector
// makes each review ten times as slow, and the plain run takes every key.
const keyStep = 12
