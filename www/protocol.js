// The worker protocol, in one table. worker.js, a classic script, mirrors it.
//
// An import always runs in a fresh worker. Cancel ends that worker. When the import succeeds the fresh worker
// replaces the old one; when it fails, is cancelled or crashes, the old worker and the old model stay.

/** Main thread → worker: message name → its fields beside `type`. */
export const TO_WORKER = Object.freeze({
  start: ['module'], //                          WebAssembly.Module, compiled once on the main thread
  open: ['job', 'name', 'bytes', 'yardstick', 'limits', 'making', 'zones', 'reading'], // bytes: ArrayBuffer, transferred; yardstick: a zone of ZONES;
  //                                           limits: {zone: {g0…g3: [polish, fix, serious]}} that the user has changed; zones: {rules, picked: [[face, zone]]}, zones.js; reading: {unit: mm or null, hidden, search: mm or null, plane: {normal, offset} or {points} or null}
  trace: ['job', 'join'], //                     join: id of a join
  grade: ['job', 'yardstick', 'limits', 'making', 'zones'], // judges again, measures nothing again; making: making.js
  form: ['job'], //                              asks for what colours by form need
  sharpen: ['job', 'faces', 'chord', 'tried', 'turn'], // asks for faces (ids) with borders within chord mm of their edges; infinite: the first ones; tried: as the last
  //                                           trials leave them; turn comes back with them
  try: ['job', 'wish'], //                       wish: {trials: their list as JSON text, face: whose net is wanted or null, point: [row, column] or null, join: whose trace is wanted or null, whole: the model is measured too, about: index of
  //                                           the finding that they are to mend or null}
  remedy: ['job', 'wish'], //                    wish: {finding}: asks for trials that would carry out its remedy; finding: index
  'trial-file': ['job', 'wish'], //              wish: {trials: JSON text, whole: the whole model}: asks for STEP
  stripes: ['job', 'seen', 'form', 'tried'], //  seen: the lamps on the screen, as the renderer has them; form: svg or json; tried: as the last trials leave the model
  'stop-stripes': ['job'],
  probe: ['job', 'wish'], //                     wish: {places: [{face, u, v}], pull: [x, y, z], patch: face or null}
  combs: ['job', 'wish'], //                     wish: {join, face, ways, spacing, curves}; combs.js
  named: ['job', 'wish'], //                     wish: {planes: [{axis, at}]}: asks for named sections, of the earlier revision too; named-sections.js
  sections: ['job', 'wish'], //                  wish: {axis, spacing, at: mm or null, tooth: mm or null}; sections.js
  lines: ['job'], //                             asks for feature lines and corners
  layout: ['job'], //                            asks for how the model is built of patches
  fillets: ['job', 'wish'], //                   wish: {}: asks for fillets with their sections
  gaps: ['job', 'wish'], //                      wish: {}: asks for gaps and edges, by the limits last judged by
  edges: ['job', 'wish'], //                     wish: {first, second}: asks for the distance between two joins
  'centre-rows': ['job'], //                     asks for the control rows that cross the centre plane
  rows: ['job', 'wish'], //                      wish: {face}: asks for its control rows
  nets: ['job', 'wish'], //                      wish: {measure}: evenness, agreement or turning: asks for the nets of all patches
  patches: ['job', 'wish'], //                   wish: {}: asks for the table of spline patches
  needs: ['job', 'wish'], //                     wish: {faces}: asks what degree and spans their patches need
  maps: ['job', 'view'], //                      asks for values sampled over the faces; view: fair, sides or reference
  hold: ['job', 'name', 'bytes', 'near'], //     holds the open model against a file; bytes: ArrayBuffer, transferred; near: mm
  'hold-sweep': ['job', 'wish', 'near'], //      the same against a sweep; wish: {first, second, start, end}, lists of joins
  earlier: ['job', 'name', 'bytes'], //          an earlier revision; bytes: ArrayBuffer, transferred
  revision: ['job', 'wish'], //                  asks for what became of its findings by the limits last judged by; wish: {}
  'faces-at': ['job', 'wish'], //                 asks which faces places of another revision lie on still; wish: {places}: x, y, z of each
  'drop-earlier': ['job'], //                    lets it go
  sides: ['job', 'wish'], //                     asks for the joins along a patch's sides; wish: {face}
  'let-go': ['job'], //                          lets the reference go
  verdict: ['job', 'wish'], //                   wish: {review: as its file has it}: asks for scores and summary
  report: ['job', 'wish'], //                    wish: {form: html, markdown, findings, joins or json; review, made: the time in words, pictures: [{of: 'whole', {finding: index} or {pin: key}, data, alt, width, height}]}
  check: ['job'], //                             asks for the text of `check --json` by the limits last judged by
});

/** Worker → main thread: message name → its fields beside `type`. */
export const FROM_WORKER = Object.freeze({
  ready: [],
  progress: ['job', 'stage', 'done', 'total'], // stage: one of STAGES
  faces: ['job', 'packets'], //                  [ArrayBuffer], transferred, one packed face or reference each, as they are ready
  model: ['job', 'summary'], //                  the import has succeeded; summary without faces, joins and findings
  joins: ['job', 'packet', 'joins', 'last'], //  some joins; packet: ArrayBuffer, transferred; joins: records of `check --json`
  classes: ['job', 'surveys', 'joins', 'zones'], // before findings; surveys: how often joins were looked for; joins: [class, required] of each; zones: {rest, fits}, zones.js
  findings: ['job', 'yardstick', 'findings', 'limits', 'last'], // some findings; limits: {g0…g3: {unit, limits: [polish, fix, serious], usual}}
  done: ['job', 'times', 'read'], //             times: {import_ms, tessellate_ms, joins_ms}; read: ms of the import until the first face was asked for
  trace: ['job', 'join', 'trace'], //            {length, s, measures: {g0: {unit, values, max_at}, …}, sides: {g2: {unit, a, b}, g3}, points}
  sharp: ['job', 'packets', 'faces', 'turn'], // [ArrayBuffer], transferred: packed faces in place of those there are; faces: their ids
  tried: ['job', 'wish', 'faces', 'packets', 'originals', 'net', 'tried'], // faces: ids of changed ones; packets: [ArrayBuffer], transferred; originals: the same as they came,
  //                                           null where they were sent before; tried: {changes, failures, joins, trace, lines: [before, after], outcome, failed}, trial_pack.rs, trial_lines.rs
  remedies: ['job', 'remedies', 'why'], //       [{name, edits}], the likeliest first; why there is none
  'trial-file': ['job', 'text'],
  form: ['job', 'form'], //                      {ranges: {gaussian … radius: values at 0 … 100 % of the area}, sides, classes}
  probe: ['job', 'found'], //                    {points, between, nearest}; probe_pack.rs
  combs: ['job', 'wish', 'sets'], //             sets: [{side: first or second, teeth, counts, inflections, most}]
  named: ['job', 'wish', 'named'], //            [{now, before, apart}]; named_pack.rs
  sections: ['job', 'wish', 'cuts'], //          cuts: {offsets, points, counts, length, reference, combs}; section_pack.rs
  lines: ['job', 'lines'], //                    {features, corners}; lines_pack.rs
  layout: ['job', 'layout'], //                  {roles, faces, chains, corners, breaks, tiny, map}; layout_pack.rs
  fillets: ['job', 'fillets'], //                {edges, corners}; fillets_pack.rs
  gaps: ['job', 'gaps'], //                      {between, exposed, flanges, trims, nominal, limits, levels}; gap_pack.rs
  edges: ['job', 'wish', 'between'], //          {along, offset, change, ways}
  'centre-rows': ['job', 'rows'], //             [{face, angle, point}]
  rows: ['job', 'wish', 'rows'], //              {face, u, v}, or null where it is no spline patch; nets_pack.rs
  nets: ['job', 'wish', 'nets'], //              {points, counts, faces, values, left}
  patches: ['job', 'patches'], //                [{face, degree, spans, points, rational, evenness, agreement, turning}]
  needs: ['job', 'wish', 'needs'], //            [{face, degree, spans, off, bend}]
  maps: ['job', 'view', 'maps', 'range'], //     map_pack.rs
  held: ['job', 'held'], //                      against_pack.rs; null after let-go
  sides: ['job', 'wish', 'sides'], //            {first, second, start, end}, or null of a face without four sides
  'earlier-progress': ['job', 'stage', 'done', 'total'], // stage: one of STAGES
  revision: ['job', 'record', 'about'], //        `revision` of `check --json`, null without an earlier one; about: {hash, bbox} of its file
  'faces-at': ['job', 'wish', 'faces'], //        a face each, −1 for none
  'no-earlier': ['job', 'error'], //             error: {message, entity, line, kind}
  'hold-progress': ['job', 'done', 'total'], //  faces, then what is missing and what is extra
  'not-held': ['job', 'error'], //               error: {message, entity, line, kind}
  verdict: ['job', 'verdict'], //                {formula, passes, elsewhere, summary, rating}
  report: ['job', 'text'],
  check: ['job', 'text'],
  'stripes-progress': ['job', 'done', 'total'], // faces and joins
  stripes: ['job', 'form', 'text'],
  failed: ['job', 'error'], //                   error: {message, entity, line, kind}
});

/** Stages of an import, in their order. */
export const STAGES = Object.freeze(['read', 'tessellate', 'joins', 'measure']);

/** Zones of a yardstick. */
export const ZONES = Object.freeze(['visible', 'secondary', 'hidden']);

/** Orders of a join's measures. */
export const ORDERS = Object.freeze(['g0', 'g1', 'g2', 'g3']);

/** Severities, worst first. */
export const SEVERITIES = Object.freeze(['serious', 'fix', 'polish', 'good']);

/** A message to a worker; a field that is missing or unknown is a mistake of ours and throws. */
export function message(type, fields = {}) {
  const wanted = TO_WORKER[type];
  if (!wanted) throw new TypeError(`no message ${type}`);
  for (const name of wanted) if (!(name in fields)) throw new TypeError(`${type} lacks ${name}`);
  for (const name of Object.keys(fields)) if (!wanted.includes(name)) throw new TypeError(`${type} has no ${name}`);
  return { type, ...fields };
}
