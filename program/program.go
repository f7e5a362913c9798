// Package program writes the machine program, reads it back, and says what a
// program prints.
package program
