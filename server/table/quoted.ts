/** what was written, short enough to be repeated, without what a terminal or a page could stumble over */
export const quoted = (text: string): string => {
  const plain = text.replace(/[\p{C}\p{Zl}\p{Zp}]/gu, '·')
  return `"${plain.length > 60 ? `${plain.slice(0, 59)}…` : plain}"`
}
