/**
 * Shapes of what the server sends (see web/models.py). Holds types only; nothing loads it.
 *
 * @typedef {"C" | "F"} Unit
 * @typedef {"connecting" | "open" | "lost" | "stopped" | "signed_out"} LinkState
 *
 * @typedef {object} SessionState
 * @property {"open" | "pin"} reading
 * @property {"set" | "none" | "unreadable"} pin
 * @property {boolean} pin_is_digits
 * @property {boolean} signed_in
 * @property {string | null} name
 * @property {boolean} may_read
 * @property {boolean} may_write
 * @property {number | null} left_s
 * @property {string | null} how_to_set
 *
 * @typedef {object} Channel
 * @property {string} name
 * @property {number | null} temp_c
 * @property {number | null} rate_c_per_h
 * @property {"ok" | "faulty" | "silent"} state
 * @property {string | null} fault
 * @property {string | null} cause
 * @property {boolean} leads
 *
 * @typedef {object} Plan
 * @property {number} step
 * @property {number} steps
 * @property {"waiting" | "climbing" | "holding" | "cooling" | "finished"} activity
 * @property {number | null} target_c
 * @property {number | null} late_s
 * @property {number | null} ends_in_s
 * @property {number | null} hold_left_s
 *
 * @typedef {object} Cone
 * @property {string} cone
 * @property {"guide" | "target" | "guard"} role
 * @property {number} work
 * @property {number | null} down_at_s
 * @property {number} tip_angle_deg
 * @property {string} clock
 * @property {"upright" | "bending" | "touching"} stance
 * @property {boolean} is_forecast
 * @property {number | null} expected_in_s
 * @property {number | null} earliest_in_s
 * @property {number | null} latest_in_s
 * @property {number | null} if_plan_in_s
 * @property {number | null} at_rate_in_s
 * @property {number | null} hold_in_s
 *
 * @typedef {{reason: string, figures: Record<string, string | number | boolean | null>}} Why
 *
 * @typedef {object} Look
 * @property {number} number
 * @property {number} elapsed_s
 * @property {string | null} time
 * @property {string} cone
 * @property {string} clock
 * @property {string | null} channel
 * @property {string | null} shelf
 * @property {string | null} by
 * @property {string | null} doubt
 * @property {Why | null} [why] what the doubt is made of
 *
 * @typedef {{offset_c: number, sigma_c: number}} Correction
 * @typedef {{offset_c: number, sigma_c: number, observations: number, firings: number}} Estimate
 *
 * @typedef {object} ChannelOffset
 * @property {string} channel
 * @property {Estimate | null} estimate
 * @property {boolean} is_proposed
 * @property {boolean} is_too_far
 * @property {Correction | null} in_force
 *
 * @typedef {object} Alert
 * @property {string} id
 * @property {string} kind
 * @property {"info" | "warning" | "critical"} severity
 * @property {string | null} channel
 * @property {string} message
 * @property {Record<string, string | number | boolean | null>} data
 * @property {number} raised_at_s
 * @property {string | null} time
 * @property {number | null} cleared_at_s
 * @property {string | null} acknowledged_at
 * @property {number} reminders
 * @property {string | null} reminded_at
 * @property {string | null} escalated_at
 *
 * @typedef {object} Note
 * @property {string} id
 * @property {number} elapsed_s
 * @property {string | null} time
 * @property {string} text
 * @property {string | null} by
 *
 * @typedef {object} Firing
 * @property {string} id
 * @property {string} name
 * @property {string | null} started_at
 * @property {"waiting" | "firing" | "finished"} state
 *
 * @typedef {object} Snapshot
 * @property {{name: string, kind: string}} kiln
 * @property {"live" | "simulation" | "replay"} mode
 * @property {number} speed
 * @property {Unit} units
 * @property {Firing | null} firing
 * @property {boolean} recording
 * @property {{state: "armed" | "open" | "closed", next_plan: string | null, chosen_plan?: string | null}} log
 * @property {{from_time: string | null, to_time: string | null, lasted_s: number | null} | null} blind
 * @property {number} elapsed_s
 * @property {string | null} time
 * @property {number | null} reading_age_s
 * @property {number} stale_after_s
 * @property {boolean} stale
 * @property {number | null} temp_c
 * @property {number | null} rate_c_per_h
 * @property {string} sentence_c
 * @property {string} sentence_f
 * @property {Channel[]} channels
 * @property {number | null} spread_c
 * @property {Plan | null} plan
 * @property {Cone[]} cones
 * @property {Correction | null} correction
 * @property {Look[]} witness
 * @property {ChannelOffset[]} offsets
 * @property {Alert[]} alerts
 * @property {Alert[]} earlier
 * @property {Note[]} notes
 * @property {"connected" | "away" | "off"} mqtt
 * @property {string[]} notify_failing
 * @property {"ok" | "failing"} record
 * @property {number | null} [room_left_h]
 * @property {number} chart_revision
 * @property {number} revision
 *
 * @typedef {object} Points
 * @property {string | null} firing_id
 * @property {number[]} elapsed_s
 * @property {Record<string, (number | null)[]>} channels
 * @property {number} revision
 *
 * @typedef {object} Chart
 * @property {string | null} firing_id
 * @property {number[]} elapsed_s
 * @property {Record<string, (number | null)[]>} channels
 * @property {{elapsed_s: number[], temp_c: number[]}} plan
 * @property {number} [until_s] as far as the chart reaches at least, where that is known
 * @property {string | null} start_time
 * @property {number} chart_revision
 * @property {number} revision
 *
 * @typedef {{name: string, from_s: number, to_s: number}} Phase
 * @typedef {object} ChartEvent
 * @property {number} elapsed_s
 * @property {string} kind
 * @property {"info" | "warning" | "critical"} severity
 * @property {"raised" | "cleared"} state
 * @property {string | null} channel
 * @property {Record<string, string | number | boolean | null>} data
 *
 * @typedef {{elapsed_s: number[], temp_c: number[], low_c: number[], high_c: number[]}} Ahead
 *
 * @typedef {object} Course
 * @property {string | null} firing_id
 * @property {Ahead | null} ahead
 * @property {Phase[]} phases
 * @property {ChartEvent[]} events
 * @property {number} revision
 *
 * @typedef {{accepted: true, message: string}} Accepted in memory, not yet on disk
 *
 * @typedef {object} Beat
 * @property {number | null} reading_age_s
 *
 * @typedef {object} Place where the page stands: `#/<view>/<name>?<query>`
 * @property {string} view
 * @property {string | null} name
 * @property {URLSearchParams} query
 *
 * @typedef {object} LiveListener each when there is something new
 * @property {(snapshot: Snapshot) => void} [onSnapshot] also when another scale is chosen
 * @property {(points: Points) => void} [onPoints] the chart's new rows, before their snapshot
 * @property {() => void} [onOpen] the stream begins anew: what came between is unknown
 * @property {() => void} [onAge] once a second, and when the link or the reading's age changes
 *
 * @typedef {object} ServiceWorkerLike what a service worker's global object is asked for
 * @property {{VERSION: string, FILES: string[]}} SHELL
 * @property {(name: string, use: (event: any) => void) => void} addEventListener
 * @property {() => Promise<void>} skipWaiting
 * @property {{claim: () => Promise<void>}} clients
 *
 * @typedef {object} Context what a view is given
 * @property {import("./live.js").Live} live
 * @property {Place} place
 * @property {AbortSignal} signal aborted when the view is left: give it to every listener and fetch
 *
 * @typedef {"fine" | "seen" | "look" | "go" | "blind" | "waiting" | "cooling" | "finished" | "closed"} Level
 * @typedef {{level: Level, title: string, sentence: string, lastKnown: string | null}} Verdict
 */

export {};
