// Package stability answers when a body on its contacts tips, slides or overturns, and what each wheel carries.
package stability
