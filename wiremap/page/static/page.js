"use strict";
// Keys, the countdown of a wait, and word of what another screen did; the page works without it.
