// An earlier revision, in the Overview and in the ledger.

const some = (n, one, more) => (n === 0 ? null : n === 1 ? `1 ${one}` : `${n} ${more}`);

export const revision = {
  revision: {
    title: 'Earlier revision',
    open: 'An earlier file…',
    openHint: 'Choose the file that this one came from. It is read in this page and sent nowhere, and judged by the same limits.',
    hint: 'Tells which findings of an earlier file are fixed, which remain, and which are new.',
    reading: (name, stage) => `Reading and judging ${name}…${stage ? ` ${stage}` : ''}`,
    close: 'Let it go',
    failed: (name) => `${name} could not be compared`,
    unreadable: 'The file on the disk has changed or is gone since it was chosen. Choose it again.',
    since: (name) => `Since ${name}:`,
    nothing: 'nothing found in either',
    counted: {
      new: (n) => `${n} new`,
      worse: (n) => `${n} worse`,
      better: (n) => `${n} better`,
      fixed: (n) => `${n} fixed`,
      gone: (n) => `${n} gone with their faces`,
      same: (n) => `${n} as before`,
    },
    fates: { new: 'New', worse: 'Worse', better: 'Better', fixed: 'Fixed', gone: 'Gone with their faces' },
    /** Of one finding. */
    fate: { new: 'New', worse: 'Worse', better: 'Better', same: 'As before', fixed: 'Fixed', gone: 'Gone with its face' },
    filter: 'Shown beside the earlier revision',
    before: (fate, value) => (value === null ? 'Not found: it is new' : `${value}: ${{ worse: 'it is worse', better: 'it is better', same: 'as now' }[fate]}`),
    ended: (n, name) => `No more since ${name}: ${n}`,
    from: (before, now) => `${before} → ${now}`,
    inLedger: (n) => `and ${n} more; the ledger lists all`,
    more: (n) => `and ${n} more; the check lists all`,
    unit: {
      earlier: (name, times) => `${name} is ${times} times as large as this model. One of the two may state a wrong unit: then nothing of them matches. Read this one in another unit, or have the other written anew.`,
      now: (name, times) => `This model is ${times} times as large as ${name}. One of the two may state a wrong unit: then nothing of them matches. Read this one in another unit, or have the other written anew.`,
    },
    beside: 'Show it beside',
    besideHint: 'Opens it in the second view, under the same camera and lamps',
    map: 'Map the distance',
    mapHint: 'Holds this model against it and colours it by how far it lies off',
    review: 'Its review…',
    reviewHint: 'Choose the review file that was saved of the earlier file',
    noReview: 'This browser keeps no review of it. Open the file of one, if there is.',
    says: (file, when, things) => `${file ?? 'Its review, kept in this browser'}, last changed ${when}, ${things ? `has ${things}.` : 'says nothing yet.'}`,
    apart: (n) => (n === 1 ? 'One judgement is of a finding that is not here any more.' : `${n} judgements are of findings that are not here any more.`),
    nothingLeft: 'Nothing of that is left to carry over.',
    things: (marks, pins, sections) =>
      [some(marks, 'judgement', 'judgements'), some(pins, 'pin', 'pins'), some(sections, 'named section', 'named sections')].filter(Boolean).join(', '),
    carry: 'Carry its judgements over',
    carryCount: (things) => `Carry its judgements over: ${things}`,
    carried: (n) => (n === 1 ? 'One entry is carried over. Undo takes it back.' : `${n} entries are carried over. Undo takes them back.`),
    otherReview: (of, name) => `It is a review of other bytes, ${of}, not of ${name} as it was opened here.`,
  },
};
