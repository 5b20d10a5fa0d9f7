// Every element in one file, for pages that show several: what they share is loaded once.
import "./audit.js";
import "./heater.js";
import "./light.js";
import "./salinity.js";
import "./topoff.js";
