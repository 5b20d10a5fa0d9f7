package report

import (
	"fmt"
	"html/template"
	"strings"

	"rsc.io/qr"
)

// mostInCode is how long an address may be that a code holds which a phone still reads off a page: version 31
// of the standard, 141 by 141 squares. Common practice, no source: drawn 65 mm wide, a square is nearly 0.5 mm.
const mostInCode = 1800

// codeOf draws an address as a QR code (ISO/IEC 18004), with the quiet zone that the standard asks for; empty where the
// address is too long to be read off paper.
func codeOf(address, title string) (template.HTML, error) {
	if address == "" || len(address) > mostInCode {
		return "", nil
	}
	code, err := qr.Encode(address, qr.L)
	if err != nil {
		return "", fmt.Errorf("report: %w", err)
	}
	const quiet = 4
	var path strings.Builder
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			length := 0
			for code.Black(x+length, y) {
				length++
			}
			if length > 0 {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", x+quiet, y+quiet, length, length)
				x += length
			}
		}
	}
	size := code.Size + 2*quiet
	// #nosec G203 -- numbers, and a title that is escaped
	return template.HTML(fmt.Sprintf(`<svg class="code" viewBox="0 0 %d %d" role="img" aria-label="%s" `+
		`shape-rendering="crispEdges"><rect width="%d" height="%d" fill="#fff"/><path fill="#000" d="%s"/></svg>`,
		size, size, template.HTMLEscapeString(title), size, size, path.String())), nil
}
