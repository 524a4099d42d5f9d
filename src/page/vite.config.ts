import { defineConfig } from 'vite';

// File names without hashes: the program embeds these files by name.
export default defineConfig({
  base: './',
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: 'dist',
    assetsDir: '',
    target: 'es2022',
    modulePreload: { polyfill: false },
    license: { fileName: 'licences.md' },
    rolldownOptions: {
      output: {
        entryFileNames: 'page.js',
        assetFileNames: 'page[extname]',
        codeSplitting: false,
      },
    },
  },
});
