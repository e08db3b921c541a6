import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';

/** Address of a running server, for `npm run dev`. */
const api = process.env.KERFCAST_API ?? 'http://127.0.0.1:8080';

export default defineConfig({
  root: import.meta.dirname,
  plugins: [react()],
  build: {
    outDir: '../dist/web',
    emptyOutDir: true,
    // Inlined assets would become data: addresses, which the content security policy forbids for scripts and fetches.
    assetsInlineLimit: 0,
    chunkSizeWarningLimit: 1500,
  },
  worker: { format: 'es' },
  // Modules of web/api/ are asked for under /api as well; they are ours, the rest is the server's.
  server: { host: '127.0.0.1', proxy: { '^/api/(?![\\w-]+\\.ts)': api } },
});
