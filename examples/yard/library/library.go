//go:build js && wasm

// Command library is the library as a browser runs it. It puts one function before the page,
// steelyard: a request as JSON text in, the answer as JSON text out. See package bridge.
package main

import (
	"runtime/debug"
	"syscall/js"

	"example.com/steelyard/examples/yard/bridge"
)

func main() {
	// The heap starts small: collected as rarely as this, it takes a quarter less time from here to
	// the first answer.
	debug.SetGCPercent(400)
	js.Global().Set("steelyard", js.FuncOf(func(_ js.Value, args []js.Value) any {
		if len(args) != 1 || args[0].Type() != js.TypeString {
			return `{"failure":"takes one text"}`
		}
		return string(bridge.Answer([]byte(args[0].String())))
	}))
	if ready := js.Global().Get("steelyardReady"); ready.Type() == js.TypeFunction {
		ready.Invoke()
	}
	select {}
}
