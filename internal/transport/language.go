package transport

import (
	"net/url"

	"github.com/labstack/echo/v4"

	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/negotiate"
)

const (
	languageParameter = "language"
	acceptLanguage    = "Accept-Language"
	contentLanguage   = "Content-Language"
)

// languageOf returns the language that a request is answered in: that of its address, or else what Accept-Language
// likes best.
func languageOf(c echo.Context) catalogue.Language {
	if l := catalogue.Language(c.QueryParam(languageParameter)); l != "" {
		return catalogue.Reader{Language: l}.Speaker().Language
	}
	return catalogue.Preferred(c.Request().Header.Get(acceptLanguage))
}

// speakerOf returns who speaks to whoever sent a request.
func speakerOf(c echo.Context) *catalogue.Speaker {
	return catalogue.Reader{Language: languageOf(c), Units: catalogue.Units(c.QueryParam("units"))}.Speaker()
}

// spoken says in the header of an answer which language its texts are in, and that another client may get another.
func spoken(c echo.Context) {
	h := c.Response().Header()
	h.Set(contentLanguage, string(languageOf(c)))
	negotiate.Vary(h, acceptLanguage)
}

// queryOf is the query of a request to an operation. Where the operation speaks and its address names no language, it
// is the one that Accept-Language likes best.
func queryOf(c echo.Context, o *contract.Operation) string {
	sent := c.Request().URL.RawQuery
	if o.Parameter(contract.InQuery, languageParameter) == nil || c.QueryParams().Has(languageParameter) {
		return sent
	}
	l := catalogue.Preferred(c.Request().Header.Get(acceptLanguage))
	if l == catalogue.English {
		return sent
	}
	more := url.Values{languageParameter: {string(l)}}.Encode()
	if sent == "" {
		return more
	}
	return sent + "&" + more
}
