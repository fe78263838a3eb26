module pluckweigh/web/browsertest

go 1.26.0

require (
	github.com/chromedp/cdproto v0.159.0
	github.com/chromedp/chromedp v0.23.0
	pluckweigh v0.0.0
)

require (
	github.com/go-json-experiment/json v0.0.0-20260213210345-44df1a37e875 // indirect
	github.com/icza/bitio v1.1.0 // indirect
	github.com/mewkiz/flac v1.0.14 // indirect
	github.com/mewkiz/pkg v0.0.0-20250417130911-3f050ff8c56d // indirect
	github.com/mewpkg/term v0.0.0-20241026122259-37a80af23985 // indirect
	github.com/mjibson/go-dsp v0.0.0-20180508042940-11479a337f12 // indirect
	github.com/rogpeppe/go-internal v1.16.0 // indirect
	gonum.org/v1/gonum v0.17.0 // indirect
)

replace pluckweigh => ../..
