// Package web is pluckweigh's page and its live feed: a browser shows what is heard,
// by its own microphone or by that of the machine that serves it.
//
// What hears is handed in (Ears); the page's files are part of the program, and no
// request can name any other. Nothing is fetched from elsewhere, and nothing leaves the
// machine but to whoever it is served to.
package web
