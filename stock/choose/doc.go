// Package choose finds which strings of a stock an instrument should have: those
// that come nearest to a wish, out of all ways to string it. It knows numbers only,
// neither storage nor printing.
//
// What is best for each position alone need not be best for all, since a string can
// be used as often only as there are copies of it. Wishes that are a sum over the
// positions are an assignment problem (Kuhn 1955); the least spread is a smallest
// window of pulls in which every position still finds a string of its own; a limit
// to the total is kept by Lagrangian relaxation and branching (Handler and Zang
// 1980).
package choose
