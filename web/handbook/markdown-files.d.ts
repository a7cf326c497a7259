declare module '*.md' {
  const chapter: import('./markdown.js').Chapter
  export default chapter
}
