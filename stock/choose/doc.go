// Package choose finds which strings of a stock an instrument should have: those
// that come nearest to a wish, out of all ways to string it. It knows numbers only,
// neither storage nor printing.
//
// What is best for each position alone need not be best for all, since a string can
// be used as often only as there are copies of it. Wishes that are a sum over the
// positions are an assignment problem (Kuhn 1955); the least spread is a smallest
// window of pulls in which every position still finds a string of its own; a limit
// to the total is kept by Lagrangian relaxation (Handler and Zang 1980) and a search of
// what that leaves open.
//
// Of a large stock little can matter. The strings of each position are sorted once
// (shelf), and what cannot be in one of the best sets is left out before these are looked
// for: all but the nearest to a target, all that lies about no short window (gathered), or
// all that is too dear at the price of the total (affordable).
package choose
