/** Why a live connection is closed: code (RFC 6455, 4000–4999 are ours), reason, and what it means. */
export const CLOSE_REASONS = {
  badMessage: {
    code: 4001,
    reason: 'bad message',
    means: 'The page sent something that is no message of this protocol.',
  },
  tooMuch: {
    code: 4008,
    reason: 'too much at once',
    means: 'More messages were waiting than the server keeps for one page.',
  },
  stopping: { code: 1001, reason: 'stopping', means: 'The server is being stopped.' },
} as const
