// Package bot answers sizing questions that people write in a forum or a chat: it
// reads free text, asks back for what is missing, asks the service and renders the
// answer. It knows no platform and no HTTP: adapters (standardwebhooks, forumwebhook,
// interactions) bring events and carry replies, and package service asks the service.
//
//	event ──▶ Bot.Take: guard ──▶ queue ──▶ Read ──▶ Service.Ask ──▶ Render ──▶ Send
//	          own, bot, edit,               ask back               dialect, cap,
//	          again, too many               when unsure            mentions dead
//
// A text is kept only until it is answered. The reply to an incomplete question holds the whole line to send again,
// with the person's own values, so that nothing needs to be remembered.
package bot
