package transport

import "github.com/labstack/echo/v4"

// costHeader says what a request has cost.
const costHeader = "X-Request-Cost"

// exposed are the fields of an answer that pages of other origins may read.
const exposed = "RateLimit, RateLimit-Policy, Retry-After, ETag, Link, Content-Location, Allow, X-Request-Id, " +
	costHeader

// everyAnswer has the fields of every answer, problems too. To browsers it is data, to be taken as what it says it is,
// that may run nothing; and it is open to pages of any origin. Answers share these lists, so nobody may change them.
var everyAnswer = map[string][]string{
	echo.HeaderXContentTypeOptions:   {"nosniff"},
	echo.HeaderReferrerPolicy:        {"no-referrer"},
	echo.HeaderContentSecurityPolicy: {"default-src 'none'; frame-ancestors 'none'"},
	"Cross-Origin-Resource-Policy":   {"cross-origin"},

	echo.HeaderAccessControlAllowOrigin:   {"*"},
	echo.HeaderAccessControlExposeHeaders: {exposed},
}

// requestID returns the random UUID (version 4) of a request.
func requestID(c echo.Context) string { return c.Response().Header().Get(echo.HeaderXRequestID) }
