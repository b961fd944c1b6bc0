// Bringing a model in: the empty page, progress, failures, addresses, how a file was read.

export const opening = {
  welcome: {
    title: 'Lay a lamp along the surface',
    body: 'Drop a STEP or IGES file here, or open one. It is read and measured in this page; nothing leaves your machine.',
    drop: 'Drop it here to open it',
    course: 'For your own course page: how to show a model there',
    blank: 'No face to show',
    blankBody: 'None of the faces in this file could be read. The Overview lists each with its line and the reason.',
  },

  progress: {
    label: 'Import',
    cancel: 'Cancel',
    cancelled: 'The import was cancelled.',
    kept: 'The import was cancelled. The open model stays as it was.',
    stages: {
      fetch: 'Fetching',
      read: 'Reading',
      tessellate: 'Laying out faces',
      joins: 'Finding joins',
      measure: 'Measuring',
    },
    of: (done, total) => `${done} of ${total}`,
  },

  failure: {
    title: (name) => `${name} could not be opened`,
    line: (line) => `line ${line}`,
    entity: (id) => `entity #${id}`,
    kept: (name) => `${name} is still open, with its review.`,
    dismiss: 'Close',
    again: 'Open it again',
    crashedImport: 'The import ran into a fault of this program or out of memory, and was stopped.',
    crashedModel:
      'The part of the page that measures has stopped. The picture, the ledger and your judgements stay; to measure on, open the model again.',
    empty: 'The file is empty.',
    demoAway: 'This browser does not hold this demonstration model yet, and the host of the page does not answer. Open a file of your own, or try again with a network.',
    noDemo: 'The demonstration model is not beside this page. Open a file of your own.',
    wasm: 'This browser could not start the WebAssembly part of the page.',
    noVectors: 'It lacks WebAssembly’s 128-bit vectors, which all current browsers have.',
    wasmAdvice: 'Load the page again, or use a current browser.',
    jobFailed: 'That could not be computed',
  },

  address: {
    title: 'Fetch a model from another place?',
    askTitle: 'Fetch a model from an address',
    host: 'Host',
    full: 'Address',
    explain:
      'Nothing has been fetched yet. If you say yes, this page asks that host for the file; the host sees your network address, and nothing of your work.',
    yes: 'Fetch it',
    no: 'Do not fetch',
    bad: 'This is not a web address: it should begin with https:// or http://.',
    status: (status) => `The host answered ${status}.`,
    blocked: (host) =>
      `${host} did not give the file to this page. Either it cannot be reached, or it does not allow other pages to read its files (its answer lacks the header Access-Control-Allow-Origin).`,
    blockedAdvice: 'Download the file with the browser, then drop it here.',
    foreign: 'The open link does not point to a file of this page.',
  },

  report: {
    whole: 'Read whole',
    sum: {
      unread: (n) => `${n} left out`,
      untrimmed: (n) => `${n} without boundary`,
      repairs: (n) => `${n} repaired`,
      remarks: (n) => (n === '1' ? '1 remark' : `${n} remarks`),
    },
    lists: {
      unread: 'Left out',
      untrimmed: 'Shown without their boundary, hatched; not measured',
      repairs: 'Repaired while reading',
      remarks: 'Remarks',
    },
    line: (line) => `line ${line}`,
    largestOf: (n) => `the largest of ${n}`,
    firstOf: (n) => `the first of ${n}`,
    more: (n) => `and ${n} more, all listed in the check JSON`,
    hidden: (n) => (n === '1' ? 'The file hides 1 face; it is left out.' : `The file hides ${n} faces; they are left out.`),
    readHidden: 'Read hidden faces too',
    hiddenRead: 'Faces that the file hides are shown too.',
    leaveHidden: 'Leave them out',
    mesh: 'A mesh: for reference only, nothing in it to review.',
    doubt: 'The size looks wrong',
    unitChosen: 'Unit chosen here',
    doubtText: (unit, why) => `Read in ${unit}, ${why}.`,
    noGuess: 'No usual unit would make it plausible.',
    readIn: (unit, across) => `Read in ${unit}: ${across}`,
    asChosen: (stated) => `The file itself states ${stated}.`,
    asStated: 'Read it as stated',
    unitRead: (stated, read) => `${stated}, read as ${read}`,
  },
};
